package screen

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
	"spadefoot/schemas"
)

// messy makes a survey with a bit of everything that screening looks for.
func messy() []*record.Capture {
	all := simulate(320, 5)
	plant(all, 3, 6)
	scaleAll(onDay(all, "day 7"), "tibiaLength", 10, 2)
	shiftUp(all, "femurLength", 200, 225)
	everyReading(all, "C. Sedge", "headWidth", func(v float64) float64 { return v * 1.06 })
	all = append(all, copyOf(all[40], 800), copyOf(all[90], 801))
	all = append(all, marked(900, "2021-05-03", "female", "Lithobates pipiens", "", "70.0"),
		marked(901, "2021-06-03", "male", "Lithobates clamitans", "", "50.0"))
	all = append(all, rareFrogs([]string{"48.1", "51.3", "47.0", "49.9", "488"}, []string{"17.9", "1.88", "17.1", "18.0", "17.7"})...)
	return all
}

// A capture's judgement does not depend on the order of the captures.
func TestOrderDoesNotMatter(t *testing.T) {
	captures := messy()
	want := Screen(captures, nil, Defaults())
	kinds := map[string]bool{}
	for _, f := range want {
		kinds[f.Rule] = true
	}
	if len(want) < 20 || len(kinds) < 8 {
		t.Fatalf("only %d findings of %d kinds to compare", len(want), len(kinds))
	}
	draw := rand.New(rand.NewPCG(1, 2))
	for range 3 {
		shuffled := slices.Clone(captures)
		draw.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
		if diff := cmp.Diff(want, Screen(shuffled, nil, Defaults())); diff != "" {
			t.Fatalf("shuffled (-want +got):\n%s", diff)
		}
	}
}

// Every rule that screening reports is in the table of rules.
func TestRulesAreKnown(t *testing.T) {
	rules, err := schemas.Rules()
	if err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{}
	for _, r := range rules {
		if r.Stage == "screen" {
			known[r.Code] = true
			if len(r.Summary) >= 80 {
				t.Errorf("the summary of %s is long", r.Code)
			}
		}
	}
	for _, f := range Screen(messy(), nil, Defaults()) {
		if !known[f.Rule] {
			t.Errorf("no rule %s", f.Rule)
		}
	}
}

// Summaries of parts merge into the summary of the whole, also where the kept
// rows are a choice.
func TestSummariesMerge(t *testing.T) {
	captures := simulate(300, 8)
	plant(captures, 2, 9)
	s := Defaults()
	s.MaxRows = 40
	whole := Summarise(captures, s)
	parts := NewSummary(s)
	for part := range slices.Chunk(captures, 37) {
		parts.Merge(Summarise(part, s))
	}
	for _, c := range captures {
		if diff := cmp.Diff(Judge(c, whole, nil, s), Judge(c, parts, nil, s)); diff != "" {
			t.Fatalf("%s (-whole +parts):\n%s", c.Key, diff)
		}
	}
}

// Judging leaves the capture as it was.
func TestJudgingChangesNothing(t *testing.T) {
	captures, same := simulate(120, 3), simulate(120, 3)
	plant(captures, 3, 4)
	plant(same, 3, 4)
	Screen(captures, nil, Defaults())
	if diff := cmp.Diff(same, captures); diff != "" {
		t.Errorf("changed:\n%s", diff)
	}
}

// Every finding carries the numbers behind it.
func TestEveryFindingCarriesItsNumbers(t *testing.T) {
	for _, f := range Screen(messy(), nil, Defaults()) {
		got := map[string]bool{}
		for _, fig := range f.Figures {
			got[fig.Name] = finite(fig.Value)
		}
		for _, want := range []string{"n", "statistic", "threshold"} {
			if !got[want] && f.Figures != nil && f.Rule != "group-too-small" {
				t.Errorf("%s at %s has no %s", f.Rule, f.At, want)
			}
		}
		if f.Level >= record.Warning && (f.Group == "" || f.Reason == "" || f.Capture == "" || f.At.File == "") {
			t.Errorf("incomplete: %+v", f)
		}
	}
}
