package normalise

import (
	"iter"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// Table turns the rows of a mapped table into captures, on all processors; what
// comes out does not depend on their number. A table with one row per
// measurement gives one capture for each run of rows with the same key.
func Table(t *record.Table, x *Context) ([]*record.Capture, []record.Finding) {
	r := Begin(t, x)
	r.found = gathered{}
	out, _ := r.Add(t.Rows)
	last, fs := r.End()
	return append(out, last...), fs
}

// each gives the rows by their place, since they are large.
func each(rows []record.TableRow) iter.Seq[*record.TableRow] {
	return func(yield func(*record.TableRow) bool) {
		for i := range rows {
			if !yield(&rows[i]) {
				return
			}
		}
	}
}

// added is the number of readings that later stages add to a capture: the mass
// of the animal and two indices of condition.
const added = 3

// readRows reads rows one by one. Values and readings are gathered in room that
// is used again, and kept at the size that they come to: captures are most of
// what is in memory.
func readRows(t *record.Table, rows []*record.TableRow, x *Context, columns *columns) []*row {
	out := make([]*row, len(rows))
	var values []record.Value
	var readings []record.Reading
	for i, r := range rows {
		row := newRow(t, r, x, columns)
		c := row.capture
		c.Values, c.Readings = values[:0], readings[:0]
		row.read()
		for j := range row.findings {
			if row.findings[j].Capture == "" {
				row.findings[j].Capture = c.Key
			}
		}
		values, readings = c.Values, c.Readings
		c.Values = slices.Clone(values)
		c.Readings = append(make([]record.Reading, 0, len(readings)+added), readings...)
		out[i] = row
	}
	return out
}

// join adds the readings of a further row of the same animal.
func join(c, more *record.Capture) {
	c.Readings = append(c.Readings, more.Readings...)
	for _, v := range more.Values {
		if c.Value(v.Term) == nil {
			c.Values = append(c.Values, v)
		}
	}
	c.Extras = append(c.Extras, more.Extras...)
	c.Remarks = append(c.Remarks, more.Remarks...)
	if w := more.Weighing; w != nil {
		if c.Weighing == nil {
			c.Weighing = w
			return
		}
		for _, p := range []struct{ to, from **record.Reading }{
			{&c.Weighing.Gross, &w.Gross}, {&c.Weighing.Tare, &w.Tare}, {&c.Weighing.Net, &w.Net}} {
			if *p.to == nil {
				*p.to = *p.from
			}
		}
	}
}

// row is the reading of one row.
type row struct {
	table    *record.Table
	cells    []record.Cell
	x        *Context
	columns  *columns
	capture  *record.Capture
	findings []record.Finding
}

func newRow(t *record.Table, r *record.TableRow, x *Context, cols *columns) *row {
	return &row{table: t, cells: r.Cells, x: x, columns: cols,
		capture: &record.Capture{File: t.File, Sheet: t.Sheet, Row: r.Number, Table: t.Index}}
}

// read fills the capture: first the plain terms and what others depend on,
// then dates, names and places, which may need several columns, then readings.
func (r *row) read() {
	r.defaults()
	r.terms()
	r.name()
	r.when()
	r.where()
	r.absence()
	r.measurements()
	r.weighing()
	r.measuredAbsence()
	r.notes()
	r.capture.Key = r.joined(r.x.Key)
	r.capture.Session = r.joined(r.x.Session)
	r.nameAbsence()
}

func (r *row) defaults() {
	for _, d := range r.x.Defaults {
		r.capture.Set(record.Value{Term: d.Term, Text: d.Text, From: d.From})
	}
}

// joined joins the values of terms; it is empty if none of them has a value.
func (r *row) joined(terms []string) string {
	parts := make([]string, len(terms))
	some := false
	for i, term := range terms {
		parts[i] = r.capture.Get(term)
		some = some || parts[i] != ""
	}
	if !some {
		return ""
	}
	return strings.Join(parts, " / ")
}

func (r *row) at(c record.Cell) record.Address { return r.table.Address(c) }

// problem turns what a room found into a finding at the cell.
func (r *row) problem(p record.Problem, c record.Cell, field string) {
	r.findings = append(r.findings, p.Finding(r.at(c), field, c.Text))
}

func (r *row) problems(ps []record.Problem, c record.Cell, field string) {
	for _, p := range ps {
		r.problem(p, c, field)
	}
}

// notes keeps what stood beside the values: cell comments, and the cells of
// columns that nothing matched.
func (r *row) notes() {
	for i, c := range r.cells {
		m := r.table.Columns[i].Meaning
		if c.Comment != "" {
			r.remark(r.table.Columns[i].Heading + ": " + strings.TrimSpace(c.Comment))
		}
		if m.Role == record.Unmatched && !c.Empty() {
			r.capture.Extras = append(r.capture.Extras, record.Extra{
				Heading: heading(r.table.Columns[i]), Text: c.Text, From: r.at(c)})
		}
	}
	if len(r.capture.Remarks) > 0 && r.x.RemarksTerm != "" && r.x.RemarksTerm != "occurrenceRemarks" {
		v := record.Value{Term: r.x.RemarksTerm, Text: strings.Join(r.capture.Remarks, " | "), From: r.capture.Address()}
		if old := r.capture.Get(v.Term); old != "" {
			v.Text = old + " | " + v.Text
		}
		r.capture.Set(v)
		r.capture.Remarks = nil
	}
}

func heading(c record.Column) string {
	if c.Heading != "" {
		return c.Heading
	}
	return "column " + record.ColumnLetters(c.Number)
}

func (r *row) remark(s string) { r.capture.Remarks = append(r.capture.Remarks, s) }
