package screen

import (
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

// A number that a spreadsheet has turned into 1e5, or that was typed so, is a
// wrong value wherever it stands, and no shift of the rows around it.
func TestAnExponentIsAWrongValueAndNoRowShift(t *testing.T) {
	for _, text := range []string{"1e5", "5.1E+03"} {
		for _, measurement := range []string{"snoutVentLength", "tibiaLength"} {
			for at := 3; at < 120; at += 29 {
				all := simulate(120, uint64(at))
				k := slices.IndexFunc(all[at].Readings, func(r record.Reading) bool { return r.Measurement == measurement })
				if k < 0 {
					continue
				}
				rewrite(all[at], k, text)
				cell, told := all[at].Readings[k].From(), 0
				for _, f := range Screen(all, nil, Defaults()) {
					switch {
					case f.Rule == "rows-shifted":
						t.Errorf("%s for %s in capture %d: %s", text, measurement, at, f.Reason)
					case f.At == cell && f.Level >= record.Warning:
						told++
					}
				}
				if told != 1 {
					t.Errorf("%s for %s in capture %d: %d findings on the cell", text, measurement, at, told)
				}
			}
		}
	}
}
