package quality

import (
	"slices"

	"spadefoot/pipeline/record"
)

// What only tests call.

// Findings runs the validations and issues on a record and returns a finding for
// each that fails on a value that was written: a term that the test acts upon
// and for which wrote is true. What is missing is not doubted here; presence is
// for the survey to demand. The reference is the label of the test. Where the
// amendment that belongs to a validation proposes a value for the term, it is
// the suggestion. At is where the record stands.
func Findings(r Record, p Params, at record.Address, wrote func(term string) bool) []record.Finding {
	var found []record.Finding
	for i := range table() {
		t := &table()[i]
		if !t.doubts() || !p.Sources.has(t.needs()) {
			continue
		}
		if f, ok := doubted(t, r, p, wrote); ok {
			f.At = at
			found = append(found, f)
		}
	}
	return found
}

// FromMap makes a Record of terms and values. Names may be bare, carry a prefix
// (dwc:, dcterms:, dc:) or be whole IRIs of those terms. Where two names mean
// the same term the first that is not empty wins, in the order of their
// spelling.
func FromMap(values map[string]string) Record {
	names := make([]string, 0, len(values))
	for name := range values {
		names = append(names, name)
	}
	slices.Sort(names)
	own := make(map[string]string, len(values))
	for _, name := range names {
		key := bare(name)
		if Empty(own[key]) {
			own[key] = values[name]
		}
	}
	return func(term string) string { return own[term] }
}

// has reports whether the list is there.
func (s *Sources) has(l listOf) bool {
	switch l {
	case taxaList:
		return len(s.Taxa) > 0
	case marineList:
		return s.Marine != nil
	case divisionList:
		return s.Divisions != nil
	case centroidList:
		return s.Centroids != nil
	}
	return l == noList
}

// Findings returns what the function Findings gives of a record in which every
// term was written.
func (x *Examination) Findings(r Record, at record.Address) []record.Finding {
	texts := make([]string, len(x.e.terms))
	for slot, term := range x.e.terms {
		texts[slot] = r(term)
	}
	return x.FindingsOf(texts, r, at)
}
