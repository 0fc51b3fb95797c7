package screen

import (
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

// shiftUp moves the values of a column from one row to the row above, from
// row to row, as a deleted cell does; the last keeps its value.
func shiftUp(captures []*record.Capture, measurement string, from, to int) []record.Address {
	var cells []record.Address
	index := func(i int) int {
		return slices.IndexFunc(captures[i].Readings, func(r record.Reading) bool { return r.Measurement == measurement })
	}
	for i := from; i < to; i++ {
		a, b := index(i), index(i+1)
		if a < 0 || b < 0 {
			continue
		}
		cells = append(cells, captures[i].Readings[a].From())
		rewrite(captures[i], a, captures[i+1].Readings[b].Text)
	}
	return cells
}

func TestRowShiftsAreOneFinding(t *testing.T) {
	for _, c := range []struct {
		name    string
		columns []string
	}{
		{"one column", []string{"tibiaLength"}},
		{"two columns", []string{"tibiaLength", "femurLength"}},
		{"body length", []string{"snoutVentLength"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			all := simulate(200, 31)
			var cells []record.Address
			for _, name := range c.columns {
				cells = append(cells, shiftUp(all, name, 60, 85)...)
			}
			fs := slices.DeleteFunc(Screen(all, nil, Defaults()), func(f record.Finding) bool { return f.Level < record.Warning })
			hit := 0
			for _, a := range cells {
				if slices.ContainsFunc(fs, func(f record.Finding) bool {
					return f.Rule == "rows-shifted" && names(f, []record.Address{a})
				}) {
					hit++
				}
			}
			if 10*hit < 8*len(cells) {
				t.Errorf("%d of %d cells named", hit, len(cells))
			}
			shifted := 0
			for _, f := range fs {
				if f.Rule == "rows-shifted" {
					shifted++
				}
				t.Logf("%s %s (+%d) → %s: %s", f.Rule, f.At, len(f.Also), f.Suggestion, f.Reason)
			}
			if shifted > 2 || len(fs) > 2 {
				t.Errorf("%d findings, %d of row shifts", len(fs), shifted)
			}
		})
	}
}
