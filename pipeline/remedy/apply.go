package remedy

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
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
	b.WriteString("no remedy was applied; correct or remove these rows")
	return b.String()
}

// Options says how remedies are spoken of.
type Options struct {
	Secret func(*record.Column) bool // columns whose texts no message may quote; may be nil
}

func (o Options) secret(c *record.Column) bool { return o.Secret != nil && (c == nil || o.Secret(c)) }

// Outcome is what came of a table of remedies.
type Outcome struct {
	applied  []*Applied // in the order of the table
	jobs     map[record.Address]*Applied
	Findings []record.Finding
	dropped  map[RowRef]*drop
	gone     map[record.Address]bool // rows that are left out, columns of tables with animals as columns
	search   *Search
	mu       sync.Mutex // of what is used
	confirms map[Answer]*confirmation
}

// Applied are the remedies that were carried out, in the order of the table.
func (o *Outcome) Applied() []*Applied {
	if o == nil {
		return nil
	}
	return o.applied
}

// Settle decides what becomes of the remedies of a search that has seen all rows:
// either all are going to be carried out, or, where the error is of type
// Mismatches, none. Change then carries them out.
func (s *Search) Settle(o Options) (*Outcome, error) {
	out := &Outcome{search: s, jobs: map[record.Address]*Applied{}, confirms: map[Answer]*confirmation{}, dropped: map[RowRef]*drop{}, gone: map[record.Address]bool{}}
	var wrong Mismatches
	for i := range s.remedies {
		r := &s.remedies[i]
		if !r.changes() && r.Action != Drop {
			continue
		}
		at, unmatched, mismatch := s.settle(i, o)
		if r.Action == Drop && mismatch == "" && unmatched == "" {
			mismatch = out.drop(r, at)
			if mismatch == "" {
				continue
			}
		}
		if other := out.jobs[at]; mismatch == "" && unmatched == "" && other != nil {
			mismatch = fmt.Sprintf("changes %s, and so does %s, line %d; keep one of them", at, other.File, other.Line)
		}
		switch {
		case mismatch != "":
			wrong = append(wrong, Mismatch{r.File, r.Line, mismatch})
		case unmatched != "":
			out.Findings = append(out.Findings, r.unmatched(unmatched))
		default:
			c := s.cell(at)
			a := &Applied{Remedy: *r, At: at, Field: c.field, Before: c.before}
			a.Remedy.At = at
			out.jobs[at] = a
			out.applied = append(out.applied, a)
		}
	}
	if len(wrong) > 0 {
		return nil, wrong
	}
	out.takeConfirmations()
	out.undecided()
	sorting.StableFunc(out.applied, func(a, b *Applied) int {
		return cmp.Or(strings.Compare(a.Remedy.File, b.Remedy.File), a.Line-b.Line)
	})
	return out, nil
}

// settle finds the one cell of a remedy that changes it and compares texts.
func (s *Search) settle(i int, o Options) (at record.Address, unmatched, mismatch string) {
	r := &s.remedies[i]
	found, why := s.find(i)
	if why != "" {
		return at, why, ""
	}
	fits := slices.DeleteFunc(slices.Clone(found), func(a record.Address) bool {
		return !same(s.cell(a).text, r.Found) && !(r.Action == Drop && r.Found == "")
	})
	switch {
	case len(fits) == 1:
		return fits[0], "", ""
	case len(fits) > 1:
		if r.Field == "" {
			return at, "", fmt.Sprintf("the key %s is in %d rows (%s); also give file and row", r.Capture, len(fits), list(fits))
		}
		return at, "", fmt.Sprintf("%d cells of capture %s hold the text found in the field %s (%s); give file, row and column", len(fits), r.Capture, r.Field, list(fits))
	}
	c := s.cell(found[0])
	if o.secret(c.column) {
		return at, "", fmt.Sprintf("%s does not hold the text that the remedy was made for; the texts are not shown because the survey has sensitive places", found[0])
	}
	above := ""
	if c.carried {
		above = ", taken from elsewhere,"
	}
	return at, "", fmt.Sprintf("%s holds %q%s, but the remedy was made for %q", list(found), c.text, above, r.Found)
}

func list(as []record.Address) string {
	parts := make([]string, len(as))
	for i, a := range as {
		parts[i] = a.String()
	}
	return strings.Join(parts, "; ")
}

// Changes carries out remedies on the rows of one table.
type Changes struct {
	o    *Outcome
	t    *record.Table
	open []carried // by column
}

// carried is a change that holds for the cells below that took their text from
// the changed one.
type carried struct {
	a    *Applied
	text string
}

// Changes begins with a table; it returns nil where nothing is to be done.
func (o *Outcome) Changes(t *record.Table) *Changes {
	if o == nil || len(o.jobs) == 0 {
		return nil
	}
	return &Changes{o: o, t: t, open: make([]carried, len(t.Columns))}
}

// Rows changes the cells of the next rows: every copy of a cell, and the cells
// below that took their text from it.
func (c *Changes) Rows(rows []record.TableRow) {
	if c == nil {
		return
	}
	for i := range rows {
		ref := RowRef{c.t.File, c.t.Sheet, c.t.Index, rows[i].Number}
		for k := range rows[i].Cells {
			cell := &rows[i].Cells[k]
			at := c.t.Address(*cell)
			a := c.o.jobs[at]
			switch open := &c.open[k]; {
			case a != nil && cell.Row > 0:
				*open = carried{a, cell.Text}
			case open.a == nil:
				continue
			case !cell.Carried || cell.Text != open.text:
				open.a = nil
				continue
			default:
				a = open.a
				a.Also = append(a.Also, at)
			}
			a.Rows = append(a.Rows, ref)
			a.write(cell)
		}
	}
}

func (a *Applied) write(cell *record.Cell) {
	if !cell.Remedied {
		cell.Remedied = true
		cell.SetWritten(cell.Text)
	}
	if a.Action == Clear {
		cell.Text, cell.Kind = "", record.Blank
		return
	}
	cell.Text, cell.Kind = a.Replacement, kindOf(cell.Kind, a.Replacement)
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
func (r *Remedy) unmatched(why string) record.Finding {
	return record.Finding{Rule: "remedy-unmatched", Level: record.Warning, At: r.place(), Capture: r.Capture, Field: r.Field, Reason: why}
}

// undecided reports the rows without an action, once for all.
func (o *Outcome) undecided() {
	var at []record.Address
	for i := range o.search.remedies {
		if r := &o.search.remedies[i]; r.Action == Undecided && (len(at) == 0 || at[len(at)-1] != r.place()) {
			at = append(at, r.place())
		}
	}
	if len(at) == 0 {
		return
	}
	o.Findings = append(o.Findings, record.Finding{Rule: "remedy-undecided", Level: record.Warning, At: at[0], Also: at[1:], Field: "action",
		Reason: record.Plural(len(at), "row") + " without an action; nothing was done there"})
}
