package darwincore

import (
	"strings"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/record/succession"
)

// Ways of the text of a term.
const (
	intoRow = iota
	intoProperties
	leftOut // it has a place of its own
)

// Values that are asked for by name, found once for all.
const (
	foundNone = iota
	foundOccurrence
	foundDynamic
	foundRecorder
	foundDeterminer
	foundDetermined
	foundStatus
	foundDate
	foundCount
)

var askedFor = map[string]int{"occurrenceID": foundOccurrence, "dynamicProperties": foundDynamic, "recordedBy": foundRecorder,
	"measurementDeterminedBy": foundDeterminer, "measurementDeterminedDate": foundDetermined,
	"occurrenceStatus": foundStatus, "eventDate": foundDate}

// meaning is where the text of a term goes.
type meaning struct {
	term  string
	way   int
	slot  int
	found int // where it is one of those that are asked for
}

// meanings remembers what terms mean.
type meanings struct {
	terms succession.Keys[string]
	all   []*meaning
}

// maxTerms bounds the terms that are remembered.
const maxTerms = 1 << 12

func (ms *meanings) of(term string) *meaning {
	i := ms.terms.Find(term)
	if i < 0 {
		if len(ms.all) >= maxTerms {
			*ms = meanings{}
		}
		m := meaningOf(strings.Clone(term))
		i = ms.terms.Add(m.term)
		ms.all = append(ms.all, &m)
	}
	return ms.all[i]
}

func meaningOf(term string) meaning {
	m := meaning{term: term, way: intoProperties, found: askedFor[term]}
	t, ok := terms.Lookup(term)
	switch {
	case term == "dynamicProperties" || term == "occurrenceID", ok && t.Class == "MeasurementOrFact":
		m.way = leftOut
	case ok && t.Current() && t.Property() && t.Simple():
		m.way, m.slot = intoRow, slots().slot(t.Name)
	}
	return m
}
