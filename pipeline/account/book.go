package account

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// Counts says what became of the cells of a column that hold something.
type Counts struct {
	Read      int `json:"read"`
	Published int `json:"published,omitempty"` // in a term, a measurement or a remark
	Kept      int `json:"kept,omitempty"`      // in dynamicProperties
	SetAside  int `json:"setAside,omitempty"`  // by the mapping
	Undecided int `json:"undecided,omitempty"` // left out of terms and measurements until it is decided
	Marks     int `json:"marks,omitempty"`     // a mark that stands for nothing
	Decided   int `json:"decided,omitempty"`   // a remedy has taken its place
	Dropped   int `json:"dropped,omitempty"`   // a remedy has left out the whole capture
	Withheld  int `json:"withheld,omitempty"`  // of a capture whose place is withheld
}

// Sum is the number of cells that are accounted for.
func (c *Counts) Sum() int {
	return c.Published + c.Kept + c.SetAside + c.Undecided + c.Marks + c.Decided + c.Dropped + c.Withheld
}

// String says what became of the cells: "79 published, 1 kept".
func (c *Counts) String() string {
	if c == nil {
		return ""
	}
	var parts []string
	for _, p := range []struct {
		n    int
		what string
	}{
		{c.Published, "published"}, {c.Kept, "kept"}, {c.SetAside, "set aside"}, {c.Undecided, "undecided"},
		{c.Marks, "marked as nothing"}, {c.Decided, "decided otherwise"}, {c.Dropped, "left out with their captures"}, {c.Withheld, "withheld"},
	} {
		if p.n > 0 {
			parts = append(parts, strconv.Itoa(p.n)+" "+p.what)
		}
	}
	return strings.Join(parts, ", ")
}

// Add adds the counts of others.
func (c *Counts) Add(o Counts) {
	c.Read += o.Read
	c.Published += o.Published
	c.Kept += o.Kept
	c.SetAside += o.SetAside
	c.Undecided += o.Undecided
	c.Marks += o.Marks
	c.Decided += o.Decided
	c.Dropped += o.Dropped
	c.Withheld += o.Withheld
}

// Book is the account of a survey. Its memory does not grow with the captures.
type Book struct {
	tables map[place]*table
	lost   []lost
	more   int // lost cells beyond those that are named
}

// place is what a capture says of the table that it comes from.
type place struct {
	file, sheet string
	index       int
}

type table struct {
	of      *record.Table
	columns []column
	counts  []Counts
}

// lost is a cell that is nowhere.
type lost struct {
	at      record.Address
	heading string
	text    string
}

// maxNamed bounds the lost cells that an error names.
const maxNamed = 5

// New is an empty book.
func New() *Book { return &Book{tables: map[place]*table{}} }

// Add enters a table with the number of cells of each column that hold
// something, as they were counted when it was read, and the number of those that
// were left out with their captures. Remarks is the term that
// notes beside values go to, "" for the usual one.
func (b *Book) Add(t *record.Table, filled, dropped []int, remarks string) {
	at := place{t.File, t.Sheet, t.Index}
	e := b.tables[at]
	if e == nil {
		e = &table{of: t}
		for i := range t.Columns {
			e.columns = append(e.columns, columnOf(t.Columns[i].Meaning, remarks))
		}
		e.counts = make([]Counts, len(t.Columns))
		b.tables[at] = e
	} else { // the same cells were read by two mappings
		for i := range e.columns {
			e.columns[i].anywhere = true
		}
	}
	for i, n := range filled[:min(len(filled), len(e.counts))] {
		e.counts[i].Read += n
		if t.Columns[i].Meaning.Role == record.SetAside {
			e.counts[i].SetAside += n
		}
	}
	for i, n := range dropped {
		e.counts[i].Dropped += n
	}
}

// Column returns what became of the cells of column i of a table.
func (b *Book) Column(t *record.Table, i int) Counts {
	if e := b.tables[place{t.File, t.Sheet, t.Index}]; e != nil && i < len(e.counts) {
		return e.counts[i]
	}
	return Counts{}
}

// Enter adds what became of cells of column i of a table, as another book has it
// that some of the rows were counted in.
func (b *Book) Enter(t *record.Table, i int, c Counts) {
	if e := b.tables[place{t.File, t.Sheet, t.Index}]; e != nil && i < len(e.counts) {
		e.counts[i].Add(c)
	}
}

// Settle compares what was read with what is accounted for. The error names
// the first cells that are not.
func (b *Book) Settle() error {
	if err := b.Lost(); err != nil {
		return err
	}
	var lines []string
	for _, e := range b.tables {
		for i := range e.counts {
			if c := &e.counts[i]; c.Read != c.Sum() {
				lines = append(lines, fmt.Sprintf("%s, %q: %s read, %d accounted for",
					record.Address{File: e.of.File, Sheet: e.of.Sheet, Column: e.of.Columns[i].Number}, e.of.Columns[i].Heading, record.Plural(c.Read, "cell"), c.Sum()))
			}
		}
	}
	if len(lines) == 0 {
		return nil
	}
	slices.Sort(lines)
	return fmt.Errorf("not every cell is accounted for, so nothing was released; this is a fault of the program, please report it:\n%s", strings.Join(lines, "\n"))
}

// Lost is the error that names the first cells that are nowhere; nil where all
// cells of the rows that came are somewhere.
func (b *Book) Lost() error {
	if len(b.lost) == 0 {
		return nil
	}
	var lines []string
	for _, l := range b.lost {
		lines = append(lines, fmt.Sprintf("%s: %q, under the heading %q", l.at, l.text, l.heading))
	}
	return fmt.Errorf("the text written in %s is not in the archive, so nothing was released; this is a fault of the program, please report it:\n%s",
		record.Plural(len(b.lost)+b.more, "cell"), strings.Join(lines, "\n"))
}

// lose notes a cell that is nowhere; the first ones are named.
func (b *Book) lose(ls []lost, more int) {
	b.lost = append(b.lost, ls...)
	sorting.Func(b.lost, func(a, b lost) int { return cmp.Or(a.at.Compare(b.at), cmp.Compare(a.text, b.text)) })
	if n := len(b.lost); n > maxNamed {
		b.more += n - maxNamed
		b.lost = b.lost[:maxNamed]
	}
	b.more += more
}
