package remedy

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"spadefoot/pipeline/record"
)

// Mismatch is a remedy that does not fit its cell.
type Mismatch struct {
	File   string // the table of remedies
	Line   int
	Reason string
}

// Mismatches are all the remedies that do not fit. Nothing was applied.
type Mismatches []Mismatch

func (ms Mismatches) Error() string {
	var b strings.Builder
	for _, m := range ms {
		fmt.Fprintf(&b, "%s, line %d: %s\n", m.File, m.Line, m.Reason)
	}
	b.WriteString("no remedy was applied")
	return b.String()
}

// Options says how remedies are spoken of.
type Options struct {
	File   string                    // name of the table of remedies, for addresses
	Secret func(*record.Column) bool // columns whose texts no message may quote; may be nil
}

func (o Options) secret(c *record.Column) bool { return o.Secret != nil && o.Secret(c) }

// Outcome is what came of a table of remedies.
type Outcome struct {
	Applied  []Applied // in the order of the table
	Findings []record.Finding
	cells    *Cells
	file     string
	confirms map[answer]*confirmation
}

// job is a remedy with its cell.
type job struct {
	r  *Remedy
	at record.Address
}

// Apply carries out remedies on the cells of mapped tables: either all of
// them, or, where the error is of type Mismatches, none.
func Apply(rs []Remedy, cells *Cells, o Options) (*Outcome, error) {
	out := &Outcome{cells: cells, file: o.File, confirms: map[answer]*confirmation{}}
	var jobs []job
	var wrong Mismatches
	taken := map[record.Address]int{}
	for i := range rs {
		r := &rs[i]
		if !r.changes() {
			continue
		}
		at, unmatched, mismatch := cells.settle(r, o)
		if mismatch == "" && unmatched == "" {
			if other, twice := taken[at]; twice {
				mismatch = fmt.Sprintf("changes %s, and so does line %d; keep one of them", at, other)
			}
			taken[at] = r.Line
		}
		switch {
		case mismatch != "":
			wrong = append(wrong, Mismatch{o.File, r.Line, mismatch})
		case unmatched != "":
			out.unmatched(r, unmatched)
		default:
			jobs = append(jobs, job{r, at})
		}
	}
	if len(wrong) > 0 {
		return nil, wrong
	}
	for _, j := range jobs {
		cells.changed[j.at] = true
	}
	for _, j := range jobs {
		out.Applied = append(out.Applied, cells.change(j))
	}
	out.takeConfirmations(rs, cells)
	out.undecided(rs)
	slices.SortStableFunc(out.Applied, func(a, b Applied) int { return a.Line - b.Line })
	return out, nil
}

// settle finds the one cell of a remedy that changes it and compares texts.
func (c *Cells) settle(r *Remedy, o Options) (at record.Address, unmatched, mismatch string) {
	found, why := c.find(r)
	if why != "" {
		return at, why, ""
	}
	fits := found[:0:0]
	for _, a := range found {
		if c.text(c.places[a][0]) == strings.TrimSpace(r.Found) {
			fits = append(fits, a)
		}
	}
	switch {
	case len(fits) == 1:
		return fits[0], "", ""
	case len(fits) > 1:
		return at, "", fmt.Sprintf("%d cells of capture %s hold the text found in the field %s (%s); give file, row and column", len(fits), r.Capture, r.Field, list(fits))
	}
	s := c.places[found[0]][0]
	if o.secret(c.column(s)) {
		return at, "", fmt.Sprintf("%s does not hold the text that the remedy was made for; the texts are not shown, since the survey has sensitive places", found[0])
	}
	above := ""
	if c.cell(s).Carried {
		above = ", taken from elsewhere,"
	}
	return at, "", fmt.Sprintf("%s holds %q%s and the remedy was made for %q", list(found), c.text(s), above, r.Found)
}

func list(as []record.Address) string {
	parts := make([]string, len(as))
	for i, a := range as {
		parts[i] = a.String()
	}
	return strings.Join(parts, "; ")
}

// change carries out one remedy: on every copy of the cell, and on the cells
// below that took their text from it.
func (c *Cells) change(j job) Applied {
	a := Applied{Remedy: *j.r, At: j.at}
	a.Remedy.At = j.at
	spots := c.places[j.at]
	a.Field = c.label(spots[0])
	a.Before = c.cell(spots[0]).Verbatim()
	for _, s := range spots {
		before := c.cell(s).Text
		a.Rows = append(a.Rows, c.ref(s))
		c.write(s, j.r)
		for below := s.row + 1; below < len(c.table(s).Rows); below++ {
			next := spot{s.grid, below, s.column}
			cell := c.cell(next)
			if !cell.Carried || cell.Text != before || c.address(next) == j.at || c.changed[c.address(next)] {
				break
			}
			a.Rows = append(a.Rows, c.ref(next))
			a.Also = append(a.Also, c.address(next))
			c.write(next, j.r)
		}
	}
	return a
}

func (c *Cells) ref(s spot) RowRef {
	t := c.table(s)
	return RowRef{t.File, t.Sheet, t.Index, t.Rows[s.row].Number}
}

func (c *Cells) write(s spot, r *Remedy) {
	cell := c.cell(s)
	if !cell.Remedied {
		cell.Remedied = true
		cell.SetWritten(cell.Text)
	}
	if r.Action == Clear {
		cell.Text, cell.Kind = "", record.Blank
		return
	}
	cell.Text, cell.Kind = r.Replacement, kindOf(cell.Kind, r.Replacement)
}

// kindOf is the type of a cell after a person wrote a text into it: a number
// with a point stays a stored number, a day stays a stored day.
func kindOf(was record.CellKind, text string) record.CellKind {
	switch was {
	case record.Number:
		if _, err := strconv.ParseFloat(text, 64); err == nil {
			return record.Number
		}
	case record.Date:
		if _, err := time.Parse(time.DateOnly, text); err == nil {
			return record.Date
		}
	}
	return record.Text
}

// unmatched reports a remedy that found no cell. Its texts are not quoted: the
// row is there to be read, and they may be of a place that must stay hidden.
func (o *Outcome) unmatched(r *Remedy, why string) {
	o.Findings = append(o.Findings, record.Finding{Rule: "remedy-unmatched", Level: record.Warning,
		At: record.Address{File: o.file, Row: r.Line}, Capture: r.Capture, Field: r.Field, Reason: why})
}

// undecided reports the rows without an action, once for all.
func (o *Outcome) undecided(rs []Remedy) {
	var at []record.Address
	for i := range rs {
		if rs[i].Action == Undecided {
			at = append(at, record.Address{File: o.file, Row: rs[i].Line})
		}
	}
	if len(at) == 0 {
		return
	}
	o.Findings = append(o.Findings, record.Finding{Rule: "remedy-undecided", Level: record.Warning, At: at[0], Also: at[1:], Field: "action",
		Reason: fmt.Sprintf("%d rows have no action; nothing was done for them", len(at))})
}
