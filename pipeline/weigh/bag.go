package weigh

import (
	"cmp"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// Bag is one weighing of an empty bag.
type Bag struct {
	Label string
	Mass  record.Reading // in grams
	From  string         // ISO 8601 day of the weighing, "" if unknown
}

// BagTable holds the weighings of bags by label.
type BagTable struct{ bags map[string][]Bag }

// NewBagTable sorts the weighings of each bag by day; weighings of no known
// day come first and hold from the beginning.
func NewBagTable(bags []Bag) BagTable {
	t := BagTable{bags: map[string][]Bag{}}
	for _, b := range bags {
		if k := labelKey(b.Label); k != "" {
			t.bags[k] = append(t.bags[k], b)
		}
	}
	for _, list := range t.bags {
		sorting.StableFunc(list, func(a, b Bag) int { return cmp.Compare(a.From, b.From) })
	}
	return t
}

// lookup is the outcome of a search in the table.
type lookup uint8

const (
	found   lookup = iota
	unknown        // no bag has this label
	later          // the bag was only weighed after the capture
)

func (t BagTable) find(label, date string) (Bag, lookup) {
	list := t.bags[labelKey(label)]
	if len(list) == 0 {
		return Bag{}, unknown
	}
	day := startDay(date)
	if day == "" {
		return list[0], found
	}
	best := -1
	for i, b := range list {
		if notAfter(b.From, day) {
			best = i
		}
	}
	if best < 0 {
		return list[0], later
	}
	return list[best], found
}

// startDay returns the date part of the start of an ISO 8601 date or interval.
func startDay(date string) string {
	date, _, _ = strings.Cut(date, "/")
	date, _, _ = strings.Cut(date, "T")
	return date
}

// notAfter compares two dates as far as both are written: a bag weighed in
// 2021-06 is not after a capture of 2021.
func notAfter(from, day string) bool {
	from = startDay(from)
	n := min(len(from), len(day))
	return from[:n] <= day[:n]
}
