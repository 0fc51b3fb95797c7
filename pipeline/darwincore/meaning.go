package darwincore

import (
	"strings"

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

// meanings remembers what terms mean, and what the lists of terms do that captures share.
type meanings struct {
	terms succession.Keys[string]
	all   []*meaning
	lists map[*record.Names]*meant
	own   meant // of a capture that shares no terms
}

// meant is what the terms of a capture mean, by the places of their values, and the
// places, from 1, of those that are asked for by name.
type meant struct {
	terms []*meaning
	found [foundCount]int
}

// maxLists bounds the lists of terms that are remembered.
const maxLists = 1 << 12

// of returns what the terms of a capture mean, until the next is asked for.
func (ms *meanings) of(c *record.Capture) *meant {
	if list := ms.lists[c.Terms]; list != nil {
		return list
	}
	list := &ms.own
	if c.Terms != nil {
		if len(ms.lists)%maxLists == 0 {
			ms.lists = map[*record.Names]*meant{}
		}
		list = &meant{}
		ms.lists[c.Terms] = list
	}
	*list = meant{terms: list.terms[:0]}
	for i := range c.Values {
		m := ms.meaning(c.Values[i].Term)
		list.terms = append(list.terms, m)
		if m.found > 0 && list.found[m.found] == 0 {
			list.found[m.found] = i + 1
		}
	}
	return list
}

func (ms *meanings) meaning(term string) *meaning {
	n := ms.terms.Find(term)
	if n < 0 {
		m := meaningOf(strings.Clone(term))
		n = ms.terms.Add(m.term)
		ms.all = append(ms.all, &m)
	}
	return ms.all[n]
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
