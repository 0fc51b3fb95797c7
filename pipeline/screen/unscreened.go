package screen

import (
	"cmp"
	"fmt"
	"maps"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// fewScreened are the taxa with too few captures for any comparison and no
// limits, so that silence is not taken for praise.
type fewScreened map[string]*unscreened

type unscreened struct {
	First record.Address
	Key   string
	N     int
}

// add counts the captures of a part that nothing was compared of.
func (t fewScreened) add(rows []*row, f *fitted, limits limitTable) {
	for _, r := range rows {
		if r.model.ofTaxon() || !r.measured || limits.about(r.species) {
			continue
		}
		at := r.capture.Address()
		u := t[r.taxon]
		if u == nil {
			u = &unscreened{First: at}
			t[strings.Clone(r.taxon)] = u
		}
		if u.N++; u.N == 1 || at.Before(u.First) {
			u.First = record.Address{File: strings.Clone(at.File), Sheet: strings.Clone(at.Sheet), Row: at.Row}
			u.Key = strings.Clone(r.capture.Key)
		}
	}
}

// join adds the captures of other parts.
func (t fewScreened) join(o fewScreened) {
	for taxon, theirs := range o {
		u := t[taxon]
		if u == nil {
			t[taxon] = theirs
			continue
		}
		if u.N += theirs.N; theirs.First.Before(u.First) {
			u.First, u.Key = theirs.First, theirs.Key
		}
	}
}

// maxNamed is the number of taxa that one note names.
const maxNamed = 12

// findings is one note of all taxa, at the first capture of any of them.
func (t fewScreened) findings(s Settings) []record.Finding {
	if len(t) == 0 {
		return nil
	}
	names := sorting.SortedFunc(maps.Keys(t), func(a, b string) int {
		return cmp.Or(t[b].N-t[a].N, strings.Compare(a, b))
	})
	out := record.Finding{Rule: "group-too-small", Level: record.Note, Field: "scientificName"}
	n := 0
	var named []string
	for i, name := range names {
		u := t[name]
		if n += u.N; out.Capture == "" && out.At.Row == 0 || u.First.Before(out.At) {
			out.At, out.Capture, out.Value = u.First, u.Key, name
		}
		if i < maxNamed {
			named = append(named, fmt.Sprintf("%s (%d)", cmp.Or(name, "animals without a name"), u.N))
		}
	}
	list := strings.Join(named, ", ")
	if more := len(names) - maxNamed; more > 0 {
		list += fmt.Sprintf(" and %d others", more)
	}
	out.Group = fmt.Sprintf("taxa with fewer than %d measured captures, n = %d", s.MinGroup, n)
	out.Figures = []record.Figure{{Name: "n", Value: float64(n)}, {Name: "threshold", Value: float64(s.MinGroup)}}
	out.Reason = fmt.Sprintf("too few captures to compare measurements (%d of a taxon are needed) and no limits, so only gross slips would show: %s.",
		s.MinGroup, list)
	return []record.Finding{out}
}
