package account

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// undecidedGroup is the member of dynamicProperties that holds what is left out
// until it is decided.
const undecidedGroup = "undecided"

// Reader reads rows of the archive. It is used by one goroutine; what it found
// counts when its book takes it.
type Reader struct {
	book    *Book
	columns *rowColumns
	counts  map[*table][]Counts
	lost    []lost
	more    int

	row row

	last   place // of the capture that came last
	table  *table
	its    []Counts
	likely []likely // by column of the table
}

// likely is where the cells of a column likely are.
type likely struct {
	own    int // the column of the core that it means, -1 for none
	notes  int // the one that notes beside it go to, -1 for none
	beside int // the one for other words that a cell was in last, -1 for none
	within int // how far within the row of a measurement
}

// Reader begins to read rows of the core with these columns.
func (b *Book) Reader(core []string) darwincore.Reader {
	return &Reader{book: b, columns: newRowColumns(core), counts: map[*table][]Counts{}}
}

// Take counts what a reader of this book found.
func (b *Book) Take(read darwincore.Reader) {
	r := read.(*Reader)
	for t, counts := range r.counts {
		for i := range counts {
			t.counts[i].Add(counts[i])
		}
	}
	b.lose(r.lost, r.more)
}

// Rows looks for the cells of a capture in its rows: the row of the core, and
// those of its measurements, as CSV.
func (r *Reader) Rows(c *record.Capture, core, facts darwincore.Cut) {
	t, counts := r.tableOf(c)
	if t == nil {
		r.more++
		return
	}
	r.row = row{columns: r.columns, core: core, facts: facts.Text, ends: facts.Ends, plain: r.row.plain, dynamic: r.row.dynamic}
	for i := range c.Cells {
		cell := &c.Cells[i]
		n := &counts[cell.Column]
		switch {
		case cell.Text == "":
			n.Withheld++
		case quantity.Blank(cell.Text):
			n.Marks++
		default:
			switch r.row.find(&t.columns[cell.Column], &r.likely[cell.Column], cell.Text) {
			case published:
				n.Published++
			case kept:
				n.Kept++
			case undecided:
				n.Undecided++
			default:
				if cell.Decided {
					n.Decided++
					continue
				}
				r.lose(t, c, cell)
			}
		}
	}
}

// tableOf returns the table of a capture, and the counts of its columns; nil for none.
func (r *Reader) tableOf(c *record.Capture) (*table, []Counts) {
	if at := (place{c.File, c.Sheet, c.Table}); r.table == nil || at != r.last {
		t := r.book.tables[at]
		if t == nil {
			return nil, nil
		}
		if r.counts[t] == nil {
			r.counts[t] = make([]Counts, len(t.counts))
		}
		r.last, r.table, r.its = place{strings.Clone(at.file), strings.Clone(at.sheet), at.index}, t, r.counts[t]
		r.likely = r.likely[:0]
		for i := range t.columns {
			own := r.columns.of(t.columns[i].term)
			r.likely = append(r.likely, likely{own: own, notes: r.columns.of(t.columns[i].remarks), beside: -1})
		}
	}
	return r.table, r.its
}

func (r *Reader) lose(t *table, c *record.Capture, cell *record.Written) {
	if len(r.lost) == maxNamed {
		r.more++
		return
	}
	col := &t.of.Columns[cell.Column]
	at := record.Address{File: c.File, Sheet: c.Sheet, Row: c.Row, Column: col.Number}
	if t.of.Transposed {
		at.Row, at.Column = at.Column, at.Row
	}
	r.lost = append(r.lost, lost{at, strings.Clone(col.Heading), strings.Clone(cell.Text)})
}

// found says where a cell was found.
type found uint8

const (
	nowhere found = iota
	published
	kept
	undecided
)

// row is what a capture came to in the archive.
type row struct {
	columns *rowColumns
	core    darwincore.Cut
	facts   []byte
	ends    []int          // of the rows of facts
	next    int            // the row of facts behind the one that was found last
	plain   []byte         // a field without its quotation marks
	dynamic []byte         // dynamicProperties, once it was asked for
	given   map[string]any // its members, where they had to be told apart
	asked   struct{ dynamic, given bool }
}

// object is the text of dynamicProperties, which a sheet of many columns asks
// for again and again.
func (w *row) object() []byte {
	if !w.asked.dynamic {
		w.asked.dynamic = true
		w.dynamic = append(w.dynamic[:0], w.field(w.columns.dynamic)...)
	}
	return w.dynamic
}

// members are those of dynamicProperties; none if it is no object.
func (w *row) members() map[string]any {
	if !w.asked.given {
		w.asked.given = true
		if json.Unmarshal(w.object(), &w.given) != nil {
			w.given = nil
		}
	}
	return w.given
}

// field is what a column of the core holds, until the next is asked for; empty for none.
func (w *row) field(i int) []byte {
	if i < 0 || i >= len(w.core.Ends) {
		return nil
	}
	from := 0
	if i > 0 {
		from = w.core.Ends[i-1] + 1
	}
	field := w.core.Text[from:w.core.Ends[i]]
	if len(field) < 2 || field[0] != '"' {
		return field
	}
	w.plain = w.plain[:0]
	for rest := field[1 : len(field)-1]; ; {
		n := bytes.IndexByte(rest, '"')
		if n < 0 {
			w.plain = append(w.plain, rest...)
			return w.plain
		}
		w.plain = append(w.plain, rest[:n+1]...)
		rest = rest[min(n+2, len(rest)):]
	}
}

// find looks for a text of a column, first where the one before it was.
func (w *row) find(c *column, at *likely, text string) found {
	if string(w.field(at.own)) == text || string(w.field(at.beside)) == text {
		return published
	}
	n := newNeedle(text)
	if n.in(w.field(at.own)) {
		return published
	}
	if c.named && len(w.facts) > 0 {
		return published
	}
	if c.facts && (w.isFact(n, at.within) || w.inFacts(n, at)) {
		return published
	}
	for _, i := range w.columns.beside {
		if n.in(w.field(i)) {
			at.beside = i
			return published
		}
	}
	if n.in(w.field(at.notes)) {
		return published
	}
	if told := len(w.field(at.own)) > 0; w.keeps(n) {
		return w.kind(n, told)
	}
	if c.anywhere {
		for i := range w.core.Ends {
			if n.in(w.field(i)) {
				return published
			}
		}
		if w.inFacts(n, at) {
			return published
		}
	}
	return nowhere
}

// isFact reports whether the text is alone between two commas so far within a row of a
// measurement behind the one that was found last.
func (w *row) isFact(n needle, within int) bool {
	if !n.plain || within == 0 {
		return false
	}
	for i := w.next; i < len(w.ends); i++ {
		from := within
		if i > 0 {
			from += w.ends[i-1]
		}
		to := from + len(n.text)
		if to < w.ends[i] && w.facts[to] == ',' && w.facts[from-1] == ',' && string(w.facts[from:to]) == n.text {
			w.next = i + 1
			return true
		}
	}
	return false
}

// inFacts reports whether the text is in the rows of the measurements, most
// likely in one behind the last.
func (w *row) inFacts(n needle, likely *likely) bool {
	if !n.plain {
		return n.inRows(w.facts)
	}
	at := -1
	if w.next > 0 {
		at = standsAt(w.facts, n.text, w.ends[w.next-1])
	}
	if at < 0 {
		at = standsAt(w.facts, n.text, 0)
	}
	if at < 0 {
		return false
	}
	i, _ := slices.BinarySearch(w.ends, at+1)
	w.next, likely.within = i+1, at
	if i > 0 {
		likely.within -= w.ends[i-1]
	}
	return true
}

// keeps reports whether the text is in dynamicProperties.
func (w *row) keeps(n needle) bool {
	if n.plain {
		return stands(w.object(), n.text)
	}
	members := w.members()
	return members != nil && n.inValue(members)
}

// kind says of a text in dynamicProperties whether its term is published in other
// words, it is only kept, or it is left out until it is decided.
func (w *row) kind(n needle, told bool) found {
	if !bytes.Contains(w.object(), []byte(`"`+undecidedGroup+`":`)) {
		if told {
			return published
		}
		return kept
	}
	members := w.members()
	if members == nil {
		return kept
	}
	for key, member := range members {
		if key != undecidedGroup && n.inValue(member) {
			if told {
				return published
			}
			return kept
		}
	}
	return undecided
}
