package darwincore

import (
	"strings"

	"spadefoot/pipeline/darwincore/terms"
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
	foundCount
)

var askedFor = map[string]int{"occurrenceID": foundOccurrence, "dynamicProperties": foundDynamic, "recordedBy": foundRecorder,
	"measurementDeterminedBy": foundDeterminer, "measurementDeterminedDate": foundDetermined,
	"occurrenceStatus": foundStatus}

// meaning is where the text of a term goes.
type meaning struct {
	term  string
	way   int
	slot  int
	found int // where it is one of those that are asked for
}

// meanings remembers the terms that stood at each place of the last capture.
type meanings struct {
	at    []meaning
	known map[string]meaning
}

// maxTerms bounds the terms that are remembered.
const maxTerms = 1 << 12

func (ms *meanings) of(place int, term string) meaning {
	if place < len(ms.at) && ms.at[place].term == term {
		return ms.at[place]
	}
	m, ok := ms.known[term]
	if !ok {
		if ms.known == nil || len(ms.known) >= maxTerms {
			ms.known = map[string]meaning{}
		}
		m = meaningOf(strings.Clone(term))
		ms.known[m.term] = m
	}
	if place < len(ms.at) {
		ms.at[place] = m
	} else if place == len(ms.at) && place < 256 {
		ms.at = append(ms.at, m)
	}
	return m
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
