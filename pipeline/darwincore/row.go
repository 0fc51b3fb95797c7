package darwincore

import (
	"strings"
	"sync"

	"spadefoot/pipeline/darwincore/terms"
)

// Field is one cell of a row: the name of a term and the text.
type Field struct{ Term, Text string }

// Row is one row of a file, in the order of the table of terms, with no empty
// texts and each term once.
type Row []Field

// Get returns the text of a term, or "".
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

// compareColumns orders terms as columns: the identifier of the row first,
// then the table of terms, then by name.
func compareColumns(a, b string) int {
	if c := columnRank(a) - columnRank(b); c != 0 {
		return c
	}
	return strings.Compare(a, b)
}

func columnRank(term string) int {
	if rank, ok := columnRanks()[term]; ok {
		return rank
	}
	return 1 << 20
}

// columnRanks are the ranks of all terms by bare name.
var columnRanks = sync.OnceValue(func() map[string]int {
	ranks := map[string]int{}
	for _, t := range terms.All() {
		if found, ok := terms.Lookup(t.Name); ok {
			ranks[t.Name] = found.Order
		}
	}
	ranks["occurrenceID"], ranks["measurementID"] = -2, -1
	return ranks
})
