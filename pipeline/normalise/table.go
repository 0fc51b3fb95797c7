package normalise

import (
	"iter"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// each returns the rows by their place, since they are large.
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

// chunk is what the rows of one chunk came to.
type chunk struct {
	captures []*record.Capture
	findings []record.Finding
	slab     *slab
}

// readRows reads rows one by one.
func readRows(t *record.Table, rows []*record.TableRow, x *Context, columns *columns, from *slabs) chunk {
	m := from.get(len(rows))
	r := &row{table: t, x: x, columns: columns, plan: columns.plan, slab: m, index: make([]uint16, len(columns.plan.names)), fields: make([]*record.Field, len(columns.plan.names)), findings: m.findings[:0]}
	out := chunk{captures: make([]*record.Capture, len(rows)), slab: m}
	for i, line := range rows {
		c := m.capture()
		c.File, c.Sheet, c.Row, c.Table = t.File, t.Sheet, line.Number, t.Index
		r.cells, r.capture = line.Cells, c
		r.values, r.readings = m.begin()
		r.order = r.order[:0]
		clear(r.index)
		found := len(r.findings)
		r.read()
		for j := range r.findings[found:] {
			f := &r.findings[found+j]
			if f.Capture == "" {
				f.Capture = c.Key
			}
			r.whereWritten(f)
		}
		c.Values, c.Readings = m.end(r.values, r.readings)
		c.Terms = r.list()
		out.captures[i] = c
	}
	out.findings, m.findings = r.findings, r.findings
	return out
}

// join adds the readings of a further row of the same animal.
func join(c, more *record.Capture) {
	c.Readings = append(c.Readings, more.Readings...)
	for _, v := range more.Values {
		if c.Value(v.Term) == nil {
			c.Hold(append(c.Values, v))
		}
	}
	c.Extras = append(c.Extras, more.Extras...)
	c.Cells = append(c.Cells, more.Cells...)
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
	plan     *plan
	slab     *slab
	capture  *record.Capture
	values   []record.Value
	order    []slot          // terms of the values
	index    []uint16        // place of each term among the values, from 1
	fields   []*record.Field // of each term, in the row before
	readings []record.Reading
	held     []bool           // by column: what was written stands in the capture
	findings []record.Finding // of all rows of the chunk

	day      *day     // that was read last
	way      placeWay // in which the place before was read
	numbered int      // and its number
	session  string   // of the row before
	scope    string
}

// read fills the capture: first the plain terms and what others depend on,
// then dates, names and places, which may need several columns, then readings.
func (r *row) read() {
	r.defaults()
	r.terms()
	r.name()
	r.noVernacular()
	r.when()
	r.where()
	r.absence()
	r.measurements()
	r.weighing()
	r.measuredAbsence()
	r.crossedOut()
	r.notes()
	r.keep()
	if r.keyed() {
		r.capture.Key = r.joined(r.plan.key, "")
	}
	r.capture.Session = r.joined(r.plan.session, r.session)
	r.session = r.capture.Session
	r.capture.Scope = r.joined(r.plan.scope, r.scope)
	r.scope = r.capture.Scope
	r.nameAbsence()
}

func (r *row) defaults() {
	for i, d := range r.x.Defaults {
		r.put(r.plan.defaults[i], d.Text, "", d.From)
	}
}

// keyed reports whether the row says something of its own key: what a default says
// is the same in every row, and identifies none.
func (r *row) keyed() bool {
	return len(r.plan.key) == 1 || slices.ContainsFunc(r.plan.key, func(s slot) bool {
		v := r.value(s)
		return v != nil && r.ofRow(v)
	})
}

// joined joins the values of terms; it is empty if none of them has a value.
// Where it comes to what it came to in the row before, that text serves again.
func (r *row) joined(terms []slot, before string) string {
	if len(terms) == 1 {
		return r.get(terms[0])
	}
	const between = " / "
	n, same, some := 0, true, false
	for i, s := range terms {
		if i > 0 {
			same = same && n+len(between) <= len(before) && before[n:n+len(between)] == between
			n += len(between)
		}
		text := r.get(s)
		same = same && n+len(text) <= len(before) && before[n:n+len(text)] == text
		n += len(text)
		some = some || text != ""
	}
	switch {
	case !some:
		return ""
	case same && n == len(before):
		return before
	}
	var b strings.Builder
	b.Grow(n)
	for i, s := range terms {
		if i > 0 {
			b.WriteString(between)
		}
		b.WriteString(r.get(s))
	}
	return b.String()
}

func (r *row) at(c *record.Cell) record.Address {
	return record.Address{File: r.table.File, Sheet: r.table.Sheet, Row: c.Row, Column: c.Column}
}

// problem turns what a room found into a finding at the cell.
func (r *row) problem(p record.Problem, c *record.Cell, field string) {
	r.findings = append(r.findings, p.Finding(r.at(c), field, c.Text))
}

func (r *row) problems(ps []record.Problem, c *record.Cell, field string) {
	for _, p := range ps {
		r.problem(p, c, field)
	}
}

// whereWritten moves an error on a cell that was filled from above to the cell in which
// the text was written, where those on the rows below are as well. Others are gathered.
func (r *row) whereWritten(f *record.Finding) {
	if !staysApart(f) || f.At.OfRow() != r.capture.Address() {
		return
	}
	i := slices.IndexFunc(r.cells, func(c record.Cell) bool { return c.Column == f.At.Column })
	if i >= 0 && r.cells[i].WrittenIn() != f.At.Row {
		f.Also = slices.Concat([]record.Address{f.At}, f.Also)
		f.At.Row = r.cells[i].WrittenIn()
	}
}

// crossedOut doubts what somebody has crossed out: it stands as it was written, and a
// person decides whether anything holds in its place.
func (r *row) crossedOut() {
	var at []record.Address
	f := record.Finding{Rule: "crossed-out", Level: record.Error, Spread: record.Each, Reason: "the text is crossed out in the workbook"}
	for i := range r.cells {
		if c := &r.cells[i]; c.Struck() && !c.Empty() && !c.Remedied && r.table.Columns[i].Meaning.Role != record.SetAside {
			if len(at) == 0 {
				f.Field, f.Value = r.table.Columns[i].Heading, c.Text
			}
			at = append(at, r.at(c))
		}
	}
	if len(at) > 0 {
		f.At, f.Also = at[0], at[1:]
		r.findings = append(r.findings, f)
	}
}

// notes keeps what stood beside the values: cell comments, and the cells of
// columns that nothing matched.
func (r *row) notes() {
	for i := range r.cells {
		if c := &r.cells[i]; c.Comment() != "" {
			r.remark(r.table.Columns[i].Heading + ": " + strings.TrimSpace(c.Comment()))
		}
	}
	for _, i := range r.plan.unmatched {
		if c := &r.cells[i]; !c.Empty() {
			r.capture.Extras = append(r.capture.Extras, record.Extra{
				Heading: heading(r.table.Columns[i]), Text: c.Text, From: r.at(c)})
		}
	}
	if len(r.capture.Remarks) > 0 && r.x.RemarksTerm != "" && r.x.RemarksTerm != "occurrenceRemarks" {
		text := strings.Join(r.capture.Remarks, " | ")
		if old := r.get(r.plan.remarks); old != "" {
			text = old + " | " + text
		}
		r.put(r.plan.remarks, text, "", r.capture.Address())
		r.capture.Remarks = nil
	}
}

// heading is what the extras of a column are under, with the unit of a row below.
func heading(c record.Column) string {
	switch unit := strings.Trim(c.Unit, " ()[]"); {
	case unit != "" && !strings.Contains(c.Heading, unit):
		return strings.TrimSpace(c.Heading + " (" + unit + ")")
	case c.Heading != "":
		return c.Heading
	}
	return "column " + record.ColumnLetters(c.Number)
}

func (r *row) remark(s string) { r.capture.Remarks = append(r.capture.Remarks, s) }
