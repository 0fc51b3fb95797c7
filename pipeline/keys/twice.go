package keys

import (
	"fmt"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/report/findings"
)

const (
	RuleTwice  = "file-twice"
	minTwice   = 3   // captures that two sheets must share to be taken for one
	shareTwice = 0.5 // of the captures of the smaller sheet
	minSaid    = 3   // what must be written of a capture to tell it from others
	maxNamed   = 100 // pairs of rows that the finding names
)

// Source is what may have been handed in twice: a file, or a tab within one.
type Source struct{ File, Sheet string }

// HeldTwice are captures that say the same in several sources, row by row, by
// their addresses.
type HeldTwice struct {
	sources []Source // in the order in which they come
	pairs   [][2]record.Address
}

// JoinedBy tells what the findings of equal sources say of their single rows; it
// is nil where there are no such sources.
func JoinedBy(held []HeldTwice) func(record.Finding) bool {
	same := map[[2]record.Address]bool{}
	for _, t := range held {
		for _, p := range t.pairs {
			same[p] = true
		}
	}
	if len(same) == 0 {
		return nil
	}
	return func(f record.Finding) bool {
		if len(f.Also) != 1 || f.Rule != "key-repeated" && f.Rule != "capture-twice" {
			return false
		}
		at, also := f.At.OfRow(), f.Also[0].OfRow()
		return same[[2]record.Address{also, at}] || same[[2]record.Address{at, also}]
	}
}

// SheetsTwice finds the sources with the same captures, each with all that are
// like it, in the order in which pairs of captures come.
func SheetsTwice(size map[Source]int, pairs [][2]record.Address) []HeldTwice {
	var order [][2]Source
	found := map[[2]Source][][2]record.Address{}
	type place struct {
		pair [2]Source
		at   record.Address
	}
	paired := map[place]bool{} // a capture is the duplicate of one other
	for _, p := range pairs {
		a, b := sourcesOf(p[0], p[1])
		k := [2]Source{a, b}
		if found[k] == nil {
			order = append(order, k)
		}
		if !paired[place{k, p[0]}] && !paired[place{k, p[1]}] {
			paired[place{k, p[0]}], paired[place{k, p[1]}] = true, true
			found[k] = append(found[k], p)
		}
	}
	group := map[Source]*HeldTwice{}
	var groups []*HeldTwice
	for _, k := range order {
		if n := len(found[k]); n >= minTwice && float64(n) >= shareTwice*float64(min(size[k[0]], size[k[1]])) {
			groups = joined(groups, group, k)
		}
	}
	for _, k := range order {
		if t := group[k[0]]; t != nil && t == group[k[1]] {
			t.pairs = append(t.pairs, found[k]...)
		}
	}
	var out []HeldTwice
	for _, t := range groups {
		if group[t.sources[0]] == t { // else it went into another
			sorting.StableFunc(t.pairs, func(x, y [2]record.Address) int { return x[1].Compare(y[1]) })
			out = append(out, *t)
		}
	}
	return out
}

// joined brings two equal sources into one group.
func joined(groups []*HeldTwice, of map[Source]*HeldTwice, k [2]Source) []*HeldTwice {
	a, b := of[k[0]], of[k[1]]
	switch {
	case a == nil && b == nil:
		t := &HeldTwice{sources: k[:]}
		of[k[0]], of[k[1]] = t, t
		return append(groups, t)
	case a == nil:
		b.sources = append(b.sources, k[0])
		of[k[0]] = b
	case b == nil:
		a.sources = append(a.sources, k[1])
		of[k[1]] = a
	case a != b:
		if len(a.sources) < len(b.sources) {
			a, b = b, a
		}
		for _, s := range b.sources {
			of[s] = a
		}
		a.sources = append(a.sources, b.sources...)
	}
	return groups
}

// Distinctive is what was written of a capture, and whether it is enough to tell it
// from others.
func Distinctive(c *record.Capture) (string, bool) {
	contents := findings.Contents(c)
	return contents, strings.Count(contents, "\n")+1 >= minSaid
}

// DatedInTwoSheets reports whether two captures are dated and are in two sheets.
func DatedInTwoSheets(a, b *record.Capture) bool {
	return a.Get("eventDate") != "" && (a.File != b.File || a.Sheet != b.Sheet)
}

// sourcesOf names the two files, or the two tabs of one file.
func sourcesOf(a, b record.Address) (Source, Source) {
	if a.File != b.File {
		return Source{a.File, ""}, Source{b.File, ""}
	}
	return Source{a.File, a.Sheet}, Source{b.File, b.Sheet}
}

// Copies are captures that say the same, by the files, or the tabs of one file,
// in which they stand.
type Copies struct {
	first string // the name of the first file or tab
	rows  []record.Address
	count map[string]int // of the others
}

// Original returns the capture that one is a copy of: the first of its file is one
// of the first in the first file, the second of the second.
func (c *Copies) Original(name string, at record.Address) (record.Address, bool) {
	if len(c.rows) == 0 || name == c.first {
		c.first, c.rows = name, append(c.rows, at)
		return record.Address{}, false
	}
	if c.count == nil {
		c.count = map[string]int{}
	}
	n := c.count[name]
	c.count[name]++
	if n >= len(c.rows) {
		return record.Address{}, false
	}
	return c.rows[n], true
}

// Finding is the one finding of equal sources: at the second, with the rows of
// the later ones beside those that they repeat, pair by pair.
func (t *HeldTwice) Finding() record.Finding {
	name := func(s Source) record.Address { return record.Address{File: s.File, Sheet: s.Sheet} }
	f := record.Finding{Rule: RuleTwice, Level: record.Error, At: name(t.sources[1])}
	again := map[record.Address]bool{}
	for _, p := range t.pairs {
		if !again[p[1]] && len(f.Also) < 2*maxNamed {
			f.Also = append(f.Also, p[1], p[0])
		}
		again[p[1]] = true
	}
	f.Figures = []record.Figure{{Name: "n", Value: float64(len(again))}}
	if n := len(t.sources); n == 2 {
		f.Reason = fmt.Sprintf("%d captures are the same as in %s, row by row: the same sheet was submitted twice", len(again), name(t.sources[0]))
	} else {
		var names []string
		for _, s := range t.sources[1:] {
			names = append(names, name(s).String())
		}
		f.Reason = fmt.Sprintf("%d captures of %s are the same as in %s, row by row: the same sheet was submitted %d times", len(again), listed(names), name(t.sources[0]), n)
	}
	if len(again) > maxNamed {
		f.Reason += fmt.Sprintf("; the first %d pairs of rows are listed", maxNamed)
	}
	return f
}

// RowPair is two rows, in any order.
type RowPair [2]record.Address

func PairOf(a, b record.Address) RowPair {
	a, b = a.OfRow(), b.OfRow()
	if b.Before(a) {
		a, b = b, a
	}
	return RowPair{a, b}
}
