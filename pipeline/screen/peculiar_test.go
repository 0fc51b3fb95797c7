package screen

import (
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

// An animal that is unusual is doubted once, however often it is caught, and not at all
// where two people found the same. A slip at one capture stays in doubt, and so does
// what may have been copied or read wrong by one hand.
func TestAnAnimalIsDoubtedOnce(t *testing.T) {
	type seen struct{ day, by, tibia string }
	for _, c := range []struct {
		name   string
		seen   []seen
		alarms []int // captures that are doubted
	}{
		{"caught once", []seen{{"2021-05-03", "IV", "26.3"}}, []int{0}},
		{"a slip at the second capture", []seen{{"2021-05-03", "IV", "36.9"}, {"2021-06-03", "TO", "26.3"}}, []int{1}},
		{"two slips that differ", []seen{{"2021-05-03", "IV", "22.3"}, {"2021-06-03", "TO", "26.3"}}, []int{0, 1}},
		{"one hand", []seen{{"2021-05-03", "IV", "26.3"}, {"2021-06-03", "IV", "26.5"}, {"2021-07-03", "IV", "26.2"}}, []int{0}},
		{"nobody named", []seen{{"2021-05-03", "", "26.3"}, {"2021-06-03", "", "26.5"}}, []int{0}},
		{"perhaps copied", []seen{{"2021-05-03", "IV", "26.3"}, {"2021-06-03", "TO", "26.3"}}, []int{0}},
		{"one day", []seen{{"2021-05-03", "IV", "26.3"}, {"2021-05-03", "TO", "26.5"}}, []int{0, 1}},
		{"two hands", []seen{{"2021-05-03", "IV", "26.3"}, {"2021-06-03", "TO", "26.5"}}, nil},
		{"two hands, the later capture first in the sheet", []seen{{"2021-06-03", "TO", "26.5"}, {"2021-05-03", "IV", "26.3"}}, nil},
		{"one hand, then another", []seen{{"2021-05-03", "IV", "26.3"}, {"2021-06-03", "IV", "26.5"}, {"2021-07-03", "TO", "26.2"}}, nil},
		{"a decimal that slipped for two hands", []seen{{"2021-05-03", "IV", "3.71"}, {"2021-06-03", "TO", "3.73"}}, []int{0, 1}},
	} {
		var captures []*record.Capture
		for i, s := range c.seen {
			one := marked(1000+i, s.day, "female", "Lithobates pipiens", "", "70.0")
			one.Set(record.Value{Field: record.Of("lifeStage"), Text: "adult"})
			one.Set(record.Value{Field: record.Of("recordedBy"), Text: s.by})
			for k, text := range []string{s.tibia, "33.6", "7.0", "4.9"} {
				addReading(one, []string{"tibiaLength", "femurLength", "eyeDiameter", "tympanumDiameter"}[k], text, "mm", 11+k)
			}
			captures = append(captures, one)
		}
		var alarms []int
		for i, f := range doubtedOnce(captures) {
			if f.Level >= record.Warning {
				alarms = append(alarms, i)
			}
		}
		if !slices.Equal(alarms, c.alarms) {
			t.Errorf("%s: captures %v are doubted, want %v", c.name, alarms, c.alarms)
		}
	}
}

// doubtedOnce are the worst findings on captures, each judged by itself and then beside
// the others of its mark.
func doubtedOnce(captures []*record.Capture) []record.Finding {
	m, out := NewMarks(""), []record.Finding(nil)
	for i, c := range captures {
		_ = m.Add(i, c)
	}
	pairs, _ := m.Pairs(background(), nil, Defaults())
	for _, p := range pairs {
		m.Doubt(captures[p[0]], captures[p[1]])
	}
	for _, c := range captures {
		var f record.Finding
		for _, found := range Judge(c, background(), nil, Defaults()) {
			if m.Temper(&found); found.Level > f.Level {
				f = found
			}
		}
		out = append(out, f)
	}
	return out
}
