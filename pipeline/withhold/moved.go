package withhold

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// Inspect looks through a part for rows whose cells are under the heading to
// the left or the right of their own, before any capture is chosen. What such a
// row says of its animal and of its place is where nobody looks for it, so
// all captures of its table and of its session are hidden.
func (r *Hiding) Inspect(captures []*record.Capture, tables []*record.Table) {
	of := map[rowOf]*columns{}
	for _, t := range tables {
		of[tableOf(t.File, t.Sheet, t.Index)] = r.columnsOf(t)
	}
	for _, c := range captures {
		table := tableOf(c.File, c.Sheet, c.Table)
		if of[table] == nil || !r.astray[c.Address()] && !r.hasMoved(c, of[table]) {
			continue
		}
		table.file, table.sheet = strings.Clone(c.File), strings.Clone(c.Sheet)
		r.moved[table] = append(r.moved[table], c.Row)
		r.astray[record.Address{File: table.file, Sheet: table.sheet, Row: c.Row}] = true
		if c.Session != "" {
			r.sessions[strings.Clone(c.Session)] = true
		}
	}
}

func tableOf(file, sheet string, index int) rowOf { return rowOf{file, sheet, index, 0} }

// Shifted takes notice of a finding: rows that it says were shifted up or down, or exchanged, belong
// to other animals than their names say.
func (r *Hiding) Shifted(f *record.Finding) {
	if f.Rule != "rows-shifted" && f.Rule != "rows-exchanged" || f.Level < record.Warning {
		return
	}
	for _, at := range f.Places() {
		r.astray[record.Address{File: strings.Clone(at.File), Sheet: strings.Clone(at.Sheet), Row: at.Row}] = true
	}
}

// kind is what the cells of a column hold.
type kind uint8

const (
	free kind = iota
	names
	everydayNames
	groups
	days
	numbers
	words // of a vocabulary
)

// columns are the columns of a table with their kinds.
type columns struct {
	kinds []kind
	terms []string
}

func (r *Hiding) columnsOf(t *record.Table) *columns {
	out := &columns{make([]kind, len(t.Columns)), make([]string, len(t.Columns))}
	for i := range t.Columns {
		m := &t.Columns[i].Meaning
		out.terms[i] = m.Term
		switch {
		case m.IsMeasured():
			out.kinds[i] = numbers
		case m.Role != record.Term:
		case m.Term == "scientificName":
			out.kinds[i] = names
		case m.Term == "vernacularName":
			out.kinds[i] = everydayNames
		case slices.Contains(ranks, m.Term):
			out.kinds[i] = groups
		case m.Term == "eventDate":
			out.kinds[i] = days
		case m.Term == "sex" || m.Term == "lifeStage":
			out.kinds[i] = words
		}
	}
	return out
}

// fits reports whether a text is of the kind of a column.
func (r *Hiding) fits(cs *columns, column int, text string) bool {
	switch cs.kinds[column] {
	case names, everydayNames, groups:
		if r.settings.Lookup == nil {
			return cs.kinds[column] == names && slices.ContainsFunc(r.counts, func(n count) bool { return n.is(text) })
		}
		l, known := r.settings.Lookup(text)
		switch {
		case !known:
			return false
		case cs.kinds[column] == everydayNames:
			return fold(l["scientificName"]) != fold(text)
		}
		return cs.kinds[column] == names || l["specificEpithet"] == ""
	case days:
		return len(text) > 4 && calendar.Parse(text, calendar.Options{}).ISO != ""
	case numbers:
		q := quantity.Parse(text, quantity.Options{})
		return q.Usable()
	case words:
		return r.settings.Word != nil && r.settings.Word(cs.terms[column], text)
	}
	return false
}

// hasMoved reports whether cells of the row fit the column beside their own, and
// not the one they are in: the name of an animal, or two other cells.
func (r *Hiding) hasMoved(c *record.Capture, cs *columns) bool {
	if speciesOf(c, r.settings.Lookup) != nil && !slices.ContainsFunc(c.Readings, func(x record.Reading) bool { return x.State == record.Unread }) {
		return false
	}
	own := map[int]string{}
	for i := range c.Cells {
		own[int(c.Cells[i].Column)] = c.Cells[i].Text
	}
	for _, by := range []int{1, -1} {
		evidence := 0
		for i := range c.Cells {
			at, text := int(c.Cells[i].Column), c.Cells[i].Text
			to := at - by
			if to < 0 || to >= len(cs.kinds) || at >= len(cs.kinds) || cs.kinds[to] == free || r.fits(cs, at, text) ||
				own[to] != "" && r.fits(cs, to, own[to]) || !r.fits(cs, to, text) || cs.kinds[at] == free && cs.kinds[to] != names && cs.kinds[to] != days {
				continue
			}
			if evidence++; cs.kinds[to] == names {
				evidence++
			}
		}
		if evidence >= 2 {
			return true
		}
	}
	return false
}

// movedWith reports whether the capture is of a table or a session with rows
// that moved.
func (r *Hiding) movedWith(c *record.Capture) bool {
	return len(r.moved) > 0 && (r.moved[tableOf(c.File, c.Sheet, c.Table)] != nil || r.sessions[c.Session])
}

// movedNotes says which rows seem to have moved.
func (r *Hiding) movedNotes() []record.Finding {
	var out []record.Finding
	for t, rows := range r.moved {
		f := record.Finding{Rule: "sensitive-rows-moved", Level: record.Warning, At: record.Address{File: t.file, Sheet: t.sheet, Row: rows[0]},
			Reason: "values of this row seem to have moved under other headings or to other rows, so no name in the table is certain; all places of its table and of its session are withheld"}
		for _, row := range rows[1:min(len(rows), 10_000)] {
			f.Also = append(f.Also, record.Address{File: t.file, Sheet: t.sheet, Row: row})
		}
		if len(rows) > 1 {
			f.Reason += fmt.Sprintf("; %d rows have", len(rows))
		}
		out = append(out, f)
	}
	return out
}
