package prove

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// judge proves rows of a table. Several may work on one table at once, and
// read what they share; the width of the table is known before they do.
type judge struct {
	table   *table
	in      *textReader
	out     *batch
	values  []watch
	watched []int // of the values, those that can be wrong in a text that has nothing odd in it
	fits    fitting
	plain   bool // the text at hand has nothing odd in it
	careful bool // a default has
	inTurn  bool // rows are read in turn, not a block of them
	before  int  // rows of the entity before the file
	row     *Row // what a visitor is shown; nil if there is none
}

// watch is a column with what is known of its values.
type watch struct {
	column
	otherwise []byte // the default
	known     memo
}

// judge makes a judge that takes its rows from in.
func (t *table) judge(in *textReader) *judge {
	j := &judge{table: t, in: in, fits: fittingOf(t.cols)}
	for i, c := range t.cols {
		j.values = append(j.values, watch{column: c, otherwise: []byte(c.def)})
		if c.check.full != nil && c.index >= 0 {
			j.watched = append(j.watched, i)
		}
		j.careful = j.careful || !t.nothingOdd([]byte(c.def))
	}
	return j
}

// block judges a block of whole rows, and says in the batch if it is not of
// sound shape.
func (j *judge) block(b *batch, text []byte) {
	j.in.again(text)
	j.plain = !j.careful && j.table.nothingOdd(text)
	if err := j.rows(b, math.MaxInt); err != io.EOF || j.in.stray > 0 {
		b.odd = true
	}
	b.end, b.ends = j.in.line, j.in.ends
}

// rows judges rows until the reader gives an error, or so many are done.
func (j *judge) rows(b *batch, most int) error {
	j.out = b
	for range most {
		at, err := j.in.next()
		if err != nil {
			return err
		}
		if len(j.in.cells) == 1 && j.table.width != 1 && len(bytes.TrimSpace(j.in.cell(0))) == 0 {
			j.add("row-blank", line(j.table.name, at), "", "", "the line is blank", guide+"2.2.1")
			continue
		}
		b.rows++
		if j.inTurn {
			j.plain = !j.careful && j.table.nothingOdd(j.in.data[j.in.begun:j.in.at])
		}
		j.judge(at)
		if j.row != nil {
			if err := j.show(at, j.before+j.table.rows+b.rows); err != nil {
				return err
			}
		}
	}
	return nil
}

func (j *judge) add(rule string, at record.Address, field, value, reason, reference string) {
	j.out.found.add(record.Finding{Rule: rule, Level: j.table.level(rule), At: at, Field: field, Value: value, Reason: reason, Reference: reference})
}

// judge proves one row.
func (j *judge) judge(at int) {
	t, n := j.table, len(j.in.cells)
	if t.width == 0 {
		t.width = n
		t.widest(at)
		if t.isHeading(j.in.texts()) {
			j.add("heading-is-row", line(t.name, at), "", string(j.in.cell(0)), "this is a heading, but meta.xml counts it as a row; ignoreHeaderLines would skip it", guide+"2.2.1")
			return
		}
	}
	switch {
	case n < t.width:
		j.add("row-short", line(t.name, at), "", "", fmt.Sprintf("the row has %s, and the file %s", record.Plural(n, "field"), record.Plural(t.width, "column")), guide+"2.2.1")
	case n > t.width:
		j.add("row-long", line(t.name, at), "", "", fmt.Sprintf("the row has %s, and the file %s; a separator within a field must be enclosed", record.Plural(n, "field"), record.Plural(t.width, "column")), guide+"2.2.1")
	}
	if n != t.width && n > 1 { // which value is which is not known
		j.identify(at)
		return
	}
	if j.plain {
		for _, i := range j.watched {
			if v := j.value(i); len(v) > 0 {
				j.meaning(&j.values[i], v, at)
			}
		}
	} else {
		for i := range j.values {
			if v := j.value(i); len(v) > 0 && j.values[i].index >= 0 && !j.odd(&j.values[i], v, at) {
				j.meaning(&j.values[i], v, at)
			}
		}
	}
	if t.width == 1 && len(t.cols) == 0 {
		return
	}
	if !j.fitting() {
		j.misfits(at)
	}
	j.identify(at)
	if t.entity.own != nil {
		if id := bytes.TrimSpace(j.said(j.fits.own)); len(id) > 0 {
			j.out.own = append(j.out.own, owned{keyOf(id), at})
		}
	}
}

// value returns what a column says in this row.
func (j *judge) value(i int) []byte {
	v := &j.values[i]
	if v.index >= 0 && v.index < len(j.in.cells) {
		if text := j.in.cell(v.index); len(text) > 0 {
			return text
		}
	}
	return v.otherwise
}

// meaning holds a value against its term.
func (j *judge) meaning(c *watch, v []byte, at int) {
	if c.check.full == nil || c.check.quick != nil && c.check.quick(v) || c.known.has(v) {
		return
	}
	text := string(v)
	f := c.check.full(text)
	if f == nil {
		c.known.learn(v)
		return
	}
	if f.rule == "value-not-date" && inFormat(text, j.table.entity.dates) {
		f = &fault{"value-date-declared", "the date has the form that dateFormat declares; ISO 8601 is recommended", ""}
	}
	j.out.found.add(record.Finding{Rule: f.rule, Level: j.table.level(f.rule), At: j.at(c.column, at), Field: c.name, Value: text, Reason: f.reason, Suggestion: f.suggestion, Reference: c.iri})
}

func (j *judge) at(c column, row int) record.Address {
	return record.Address{File: j.table.name, Row: row, Column: c.index + 1}
}

// identify takes the identifier of a row of the core, or what a row of an
// extension points at.
func (j *judge) identify(at int) {
	i := j.table.entity.id
	if i < 0 || i >= j.table.width && j.table.width > 0 {
		return
	}
	if id := j.id(); len(id) > 0 {
		j.out.name(id, at)
		return
	}
	if j.blankRow() {
		j.add("row-blank", line(j.table.name, at), "", "", "every field of the row is empty", guide+"2.2.1")
		return
	}
	j.add("id-missing", record.Address{File: j.table.name, Row: at, Column: i + 1}, j.table.idName(), "", "the row has no identifier", guide+"2.1.2")
}

func (j *judge) blankRow() bool {
	return !slices.ContainsFunc(j.in.texts(), func(text string) bool { return strings.TrimSpace(text) != "" })
}

func (j *judge) id() []byte {
	if i := j.table.entity.id; i >= 0 && i < len(j.in.cells) {
		return bytes.TrimSpace(j.in.cell(i))
	}
	return nil
}

// show gives the row to the visitor.
func (j *judge) show(at, number int) error {
	r := j.row
	texts := j.in.texts()
	for i, c := range j.table.cols {
		r.Values[i] = c.def
		if c.index >= 0 && c.index < len(texts) && texts[c.index] != "" {
			r.Values[i] = texts[c.index]
		}
	}
	r.ID, r.Number, r.Line = string(j.id()), number, at
	return j.table.options.Visit(r)
}
