package pipeline_test

import (
	"context"
	"strings"
	"testing"

	"spadefoot/pipeline"
)

// What an earlier program lost, and control characters of damaged files, are
// findings; they do not keep the rest from being published.
func TestLostCharactersDoNotStopARun(t *testing.T) {
	dir, out := t.TempDir(), t.TempDir()
	put(t, dir, "survey.yaml", smallSurvey+"    - {heading: Site, term: locality}\n")
	put(t, dir, "frogs.csv", "Field No,Species,SVL,Site\n1,Rana temporaria,61,\uFFFDtang du H\uFFFDron\n2,Rana temporaria,58,Mill\x00Ditch\n3,Rana temporaria,59,Mill\x07Ditch\n")
	r, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	rules := map[string]int{}
	for _, f := range r.Findings {
		rules[f.Rule]++
	}
	if r.Counts.Occurrences != 3 || rules["character-lost"] == 0 || rules["control-character"] == 0 {
		t.Errorf("%+v %v", r.Counts, rules)
	}
	if text := string(files(t, out)["darwin-core/occurrence.csv"]); !strings.Contains(text, "\uFFFDtang du H\uFFFDron") || strings.Contains(text, "\x00") {
		t.Errorf("%q", text)
	}
}

// The name of a scale is kept where the mass that was read on it is undecided and no
// bag was weighed.
func TestScaleOfAnUndecidedMassIsKept(t *testing.T) {
	dir, out := t.TempDir(), t.TempDir()
	put(t, dir, "survey.yaml", anySurvey+indented(`    - {heading: Field No, term: recordNumber}
    - {heading: Net, weighing: net, unit: g}
    - {heading: Tare, weighing: tare, unit: g}
    - {heading: Scale, weighing: scale}
    - {heading: Count, term: individualCount}
`))
	put(t, dir, "frogs.csv", "Field No,Net,Tare,Scale,Count\n1,25,escaped,balance,0\n2,24.5,4.5,balance,1\n")
	if _, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{}); err != nil {
		t.Fatal(err)
	}
	if text := string(files(t, out)["darwin-core/occurrence.csv"]); !strings.Contains(text, `""undecided"":{""bodyMass"":""25"",""scale"":""balance""}`) {
		t.Errorf("%s", text)
	}
}
