package infer

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// overlapping has n females and n males of a species, the males 20 % smaller with a
// scatter of 6 %, and one animal without a sex.
func overlapping(n int, note func(sex string, i int) string, unsexed float64) []*record.Capture {
	draw := rand.New(rand.NewPCG(4, 9))
	var all []*record.Capture
	add := func(sex, text string, svl float64) {
		i := len(all)
		c := &record.Capture{ID: fmt.Sprintf("id%03d", i), Key: fmt.Sprintf("F%03d", i), File: "f.csv", Row: i + 2}
		for term, text := range map[string]string{"scientificName": "Lithobates pipiens", "genus": "Lithobates", "specificEpithet": "pipiens", "order": "Anura",
			"lifeStage": "adult", "sex": sex, "reproductiveCondition": text, "occurrenceRemarks": text} {
			if text != "" {
				c.Set(record.Value{Field: record.Of(term), Text: text}.At(record.Address{File: "f.csv", Row: i + 2, Column: 3}))
			}
		}
		c.Readings = append(c.Readings, record.Reading{Series: &record.Series{Measurement: "snoutVentLength", Unit: "mm"}, Number: svl, Decimals: 1}.At(record.Address{File: "f.csv", Row: i + 2, Column: 5}))
		all = append(all, c)
	}
	for i := range n {
		add(Female, note(Female, i), 80*math.Exp(0.06*draw.NormFloat64()))
		add(Male, note(Male, i), 64*math.Exp(0.06*draw.NormFloat64()))
	}
	add("", "", unsexed)
	return all
}

func notesOn(t *testing.T, captures []*record.Capture, s Settings) []record.Finding {
	t.Helper()
	rules := Rules()
	var out []record.Finding
	for _, f := range Infer(captures, nil, Inputs{Rules: rules}, s).Findings {
		if f.Rule == "sex-overlap" {
			out = append(out, f)
		}
	}
	return out
}

// Only animals whose sex a sign or the notes bear out teach, and only where there
// are enough; an animal without a sex is told a probability, and no sex.
func TestSexesOverlap(t *testing.T) {
	signs := func(sex string, _ int) string {
		return map[string]string{Female: "gravid, eggs visible", Male: "nuptial pads"}[sex]
	}
	captures := overlapping(40, signs, 66)
	fs := notesOn(t, captures, Defaults())
	if len(fs) != 1 {
		t.Fatalf("%+v", fs)
	}
	f := fs[0]
	// Two normal distributions 0.223 apart with a scatter of 0.06 share 2Φ(−1.86) = 6.3 %.
	if v := f.Figures[0].Value; f.Level != record.Note || f.Suggestion != "" || math.Abs(v-0.063) > 0.05 {
		t.Errorf("%+v", f)
	}
	for _, part := range []string{"snout-vent length overlaps by ", "40 females about ", "40 males about ", "F080 male with probability 9", sexCaution} {
		if !strings.Contains(f.Reason, part) {
			t.Errorf("%q is not in %q", part, f.Reason)
		}
	}
	if len(f.Also) != 1 || f.Also[0].Row != captures[80].Row || captures[80].Get("sex") != "" {
		t.Errorf("%+v", f.Also)
	}
	for name, c := range map[string]struct {
		captures []*record.Capture
		notes    int
	}{
		"no signs":            {overlapping(40, func(string, int) string { return "" }, 66), 0},
		"signs of the others": {overlapping(40, func(sex string, _ int) string { return signs(opposite(sex), 0) }, 66), 0},
		"too few":             {overlapping(9, signs, 66), 0},
		"dissected":           {overlapping(12, func(string, int) string { return "dissected" }, 66), 1},
		"not dissected":       {overlapping(12, func(string, int) string { return "not dissected" }, 66), 0},
	} {
		if fs := notesOn(t, c.captures, Defaults()); len(fs) != c.notes {
			t.Errorf("%s: %+v", name, fs)
		}
	}
	// One animal that was caught again and again counts once.
	again := overlapping(40, signs, 66)
	for i, c := range again[:80] {
		c.Set(record.Value{Field: record.Of("organismID"), Text: fmt.Sprint("M", i%2, i%8)})
	}
	if fs := notesOn(t, again, Defaults()); len(fs) != 0 {
		t.Errorf("%+v", fs)
	}
}
