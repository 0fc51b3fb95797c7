package pipeline

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

const (
	ruleTwice  = "file-twice"
	leastTwice = 3   // captures that two sheets must share to be taken for one
	shareTwice = 0.5 // of the captures of the smaller sheet
	leastSaid  = 3   // what must be written of a capture to tell it from others
	maxNamed   = 100 // pairs of rows that the finding names
)

// source is what may have been handed in twice: a file, or a tab within one.
type source struct{ file, sheet string }

// heldTwice are captures that say the same in two sources, row by row, by their
// addresses.
type heldTwice struct {
	a, b  source // b came later
	pairs [][2]record.Address
}

// joinedBy tells what the finding of two sources says of their single rows; it
// is nil where there are no such sources.
func joinedBy(held []heldTwice) func(record.Finding) bool {
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
		at, also := rowAddress(f.At), rowAddress(f.Also[0])
		return same[[2]record.Address{also, at}] || same[[2]record.Address{at, also}]
	}
}

func rowAddress(a record.Address) record.Address {
	a.Column = 0
	return a
}

// sheetsTwice finds the pairs of sources with the same captures, in the order in
// which pairs of captures come.
func sheetsTwice(size map[source]int, pairs [][2]record.Address) []heldTwice {
	var order [][2]source
	found := map[[2]source]*heldTwice{}
	type place struct {
		pair [2]source
		at   record.Address
	}
	paired := map[place]bool{} // a capture is the duplicate of one other
	for _, p := range pairs {
		a, b := sourcesOf(p[0], p[1])
		k := [2]source{a, b}
		if found[k] == nil {
			found[k] = &heldTwice{a: a, b: b}
			order = append(order, k)
		}
		if !paired[place{k, p[0]}] && !paired[place{k, p[1]}] {
			paired[place{k, p[0]}], paired[place{k, p[1]}] = true, true
			found[k].pairs = append(found[k].pairs, p)
		}
	}
	var out []heldTwice
	for _, k := range order {
		t := found[k]
		if n := len(t.pairs); n >= leastTwice && float64(n) >= shareTwice*float64(min(size[t.a], size[t.b])) {
			slices.SortStableFunc(t.pairs, func(x, y [2]record.Address) int { return x[1].Compare(y[1]) })
			out = append(out, *t)
		}
	}
	return out
}

// saidOf is what was written of a capture, and whether it is enough to tell it
// from others.
func saidOf(c *record.Capture) (string, bool) {
	contents := report.Contents(c)
	return contents, strings.Count(contents, "\n")+1 >= leastSaid
}

// dayInTwo reports whether two captures are dated and stand in two sheets.
func dayInTwo(a, b *record.Capture) bool {
	return a.Get("eventDate") != "" && (a.File != b.File || a.Sheet != b.Sheet)
}

// sourcesOf names the two files, or the two tabs of one file.
func sourcesOf(a, b record.Address) (source, source) {
	if a.File != b.File {
		return source{a.File, ""}, source{b.File, ""}
	}
	return source{a.File, a.Sheet}, source{b.File, b.Sheet}
}

// firstOfEach returns the first of the captures from every sheet but that of c.
// A row that stands twice in one sheet is no matter of two files.
func firstOfEach(same []record.Address, c record.Address) []record.Address {
	var out []record.Address
	seen := map[source]bool{{c.File, c.Sheet}: true}
	for _, p := range same {
		if s := (source{p.File, p.Sheet}); !seen[s] {
			seen[s] = true
			out = append(out, p)
		}
	}
	return out
}

// finding is the one finding of the two sources: at the later one, with the
// rows of both beside it, pair by pair.
func (t *heldTwice) finding() record.Finding {
	a, b := record.Address{File: t.a.file, Sheet: t.a.sheet}, record.Address{File: t.b.file, Sheet: t.b.sheet}
	f := record.Finding{Rule: ruleTwice, Level: record.Error, At: b,
		Reason:  fmt.Sprintf("%d captures say the same as in %s, row by row: the same sheet was handed in twice", len(t.pairs), a),
		Figures: []record.Figure{{Name: "n", Value: float64(len(t.pairs))}}}
	for i, p := range t.pairs {
		if i == maxNamed {
			f.Reason += fmt.Sprintf("; the first %d pairs of rows are named", maxNamed)
			break
		}
		f.Also = append(f.Also, p[1], p[0])
	}
	return f
}
