package screen

import (
	"cmp"
	"fmt"

	"spadefoot/pipeline/record"
)

// markScope is within what a mark names one animal, as the recaptures show it:
// where too many of them contradict each other, marks begin anew with each kind
// of animal, or at each place, and are not misread one by one.
type markScope struct {
	byKind, byPlace bool

	pairs, otherKind      int // pairs of neighbours, and those of two kinds
	apart, apartDiffer    int // pairs at two places, and those that contradict each other
	together, closeDiffer int // the same at one place
	first                 int // ordinal of the first capture that contradicts, -1 if none does
}

const (
	minContradicting  = 10  // pairs
	manyContradicting = 0.2 // share of the pairs beyond what single slips explain
	fewContradicting  = 0.05
)

// add takes a pair of captures of one mark in.
func (s *markScope) add(a, b *markedCapture) {
	s.pairs++
	kinds := a.name != b.name && a.name != 0 && b.name != 0
	differ := kinds || a.sex != b.sex && a.sex != 0 && b.sex != 0
	if kinds {
		s.otherKind++
	}
	if differ && (s.first < 0 || b.ordinal < s.first) {
		s.first = b.ordinal
	}
	switch {
	case a.place == 0 || b.place == 0:
	case a.place != b.place:
		s.apart++
		if differ {
			s.apartDiffer++
		}
	default:
		s.together++
		if differ {
			s.closeDiffer++
		}
	}
}

func (s *markScope) settle() {
	share := func(n, of int) float64 { return float64(n) / float64(max(of, 1)) }
	s.byPlace = s.apartDiffer >= minContradicting && share(s.apartDiffer, s.apart) >= manyContradicting && share(s.closeDiffer, s.together) <= fewContradicting
	s.byKind = !s.byPlace && s.otherKind >= minContradicting && share(s.otherKind, s.pairs) >= manyContradicting
}

// compare orders captures of one mark by what it names one animal within.
func (s *markScope) compare(a, b *markedCapture) int {
	if s.byPlace {
		if c := cmp.Compare(a.place, b.place); c != 0 {
			return c
		}
	}
	if s.byKind {
		return cmp.Compare(a.name, b.name)
	}
	return 0
}

// Scope returns the ordinal of a capture, and the finding at it, where marks seem
// to begin anew within the survey; false where they do not. Pairs must have been
// called.
func (m *Marks) Scope() (ordinal int, f record.Finding, some bool) {
	s := m.scope
	if !s.byKind && !s.byPlace {
		return 0, f, false
	}
	f = record.Finding{Rule: "marks-begin-anew", Level: record.Warning, Field: "organismID", Group: "captures of one mark"}
	if s.byPlace {
		f.Figures = []record.Figure{{Name: "n", Value: float64(s.apart)}, {Name: "value", Value: float64(s.apartDiffer)}}
		f.Reason = fmt.Sprintf("of %d pairs of captures with the same mark at two places, %d differ in kind or sex, and of %d pairs at one place %d: marks seem to start again at each place, and are compared within it. If so, write marks: [locality] in the mapping.",
			s.apart, s.apartDiffer, s.together, s.closeDiffer)
	} else {
		f.Figures = []record.Figure{{Name: "n", Value: float64(s.pairs)}, {Name: "value", Value: float64(s.otherKind)}}
		f.Reason = fmt.Sprintf("of %d pairs of captures with the same mark, %d are of two kinds: marks seem to start again with each kind, and are compared within it. If so, write marks: [scientificName] in the mapping.",
			s.pairs, s.otherKind)
	}
	return s.first, f, true
}
