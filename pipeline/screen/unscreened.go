package screen

import (
	"fmt"

	"spadefoot/pipeline/record"
)

// fewScreened are the taxa with too few captures for any comparison and no
// limits, so that silence is not taken for praise.
type fewScreened map[string]*unscreened

type unscreened struct {
	first record.Address
	key   string
	n     int
}

// add counts the captures of a part that nothing was compared of.
func (t fewScreened) add(rows []*row, f *fitted, limits limitTable) {
	for _, r := range rows {
		if f.models[r.taxon] != nil || !r.measured || limits.about(r.taxon) {
			continue
		}
		at := r.capture.Address()
		u := t[r.taxon]
		if u == nil {
			u = &unscreened{first: at}
			t[kept(r.taxon)] = u
		}
		if u.n++; u.n == 1 || at.Before(u.first) {
			u.first = record.Address{File: kept(at.File), Sheet: kept(at.Sheet), Row: at.Row}
			u.key = kept(r.capture.Key)
		}
	}
}

// findings notes each taxon at its first capture.
func (t fewScreened) findings(s Settings) []record.Finding {
	var findings []record.Finding
	for name, u := range t {
		said := name
		if name == "" {
			said = "animals without a name"
		}
		findings = append(findings, record.Finding{Rule: "group-too-small", Level: record.Note, At: u.first, Capture: u.key,
			Field: "scientificName", Value: name, Group: fmt.Sprintf("%s, n = %d", said, u.n),
			Figures: []record.Figure{{Name: "n", Value: float64(u.n)}, {Name: "threshold", Value: float64(s.MinGroup)}},
			Reason: fmt.Sprintf("%d captures of %s are too few to compare measurements with each other (%d are needed), and there are no limits for it: only gross slips would show.",
				u.n, said, s.MinGroup)})
	}
	return findings
}
