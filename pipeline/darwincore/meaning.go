package darwincore

import (
	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/record"
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
	terms succession.Terms
	all   []*meaning
}

// of appends what the terms of a capture mean.
func (ms *meanings) of(c *record.Capture, to []*meaning) []*meaning {
	numbers := ms.terms.Of(c)
	for _, term := range ms.terms.All()[len(ms.all):] {
		m := meaningOf(term)
		ms.all = append(ms.all, &m)
	}
	for _, n := range numbers {
		to = append(to, ms.all[n])
	}
	return to
}

func meaningOf(term string) meaning {
	m := meaning{term: term, way: intoProperties, found: askedFor[term]}
	t, ok := terms.Lookup(term)
	switch {
	case term == "dynamicProperties" || term == "occurrenceID", ok && t.Class == "MeasurementOrFact":
		m.way = leftOut
	case ok && t.Current() && t.Property() && t.Simple():
		m.way, m.slot = intoRow, slots().Place(t.Name)
	}
	return m
}
