package darwincore

import (
	"slices"
	"strings"

	"spadefoot/pipeline/darwincore/terms"
)

// Field is one cell of a row: the name of a term and the text.
type Field struct{ Term, Text string }

// Row is one row of a file, in the order of the table of terms, with no empty
// texts and each term once.
type Row []Field

// Get gives the text of a term, or "".
func (r Row) Get(term string) string {
	for _, f := range r {
		if f.Term == term {
			return f.Text
		}
	}
	return ""
}

// set adds a term, or replaces its text. White space at the ends is dropped;
// an empty text is not set.
func (r Row) set(term, text string) Row {
	text = strings.TrimSpace(text)
	if text == "" {
		return r
	}
	for i := range r {
		if r[i].Term == term {
			r[i].Text = text
			return r
		}
	}
	return append(r, Field{term, text})
}

// fill sets a term that is not there yet.
func (r Row) fill(term, text string) Row {
	if r.Get(term) != "" {
		return r
	}
	return r.set(term, text)
}

func (r Row) sorted() Row {
	slices.SortStableFunc(r, func(a, b Field) int { return compareColumns(a.Term, b.Term) })
	return r
}

// compareColumns orders terms as columns: the identifier of the row first,
// then the table of terms, then by name.
func compareColumns(a, b string) int {
	if c := columnRank(a) - columnRank(b); c != 0 {
		return c
	}
	return strings.Compare(a, b)
}

func columnRank(term string) int {
	switch term {
	case "occurrenceID":
		return -2
	case "measurementID":
		return -1
	}
	if t, ok := terms.Lookup(term); ok {
		return t.Order
	}
	return 1 << 20
}
