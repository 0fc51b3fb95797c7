package mapping

import (
	"fmt"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
)

// Clash says that two columns of one table mean the same single thing.
type Clash struct {
	Table         *record.Table
	First, Second record.Column
	What          string
}

// Error names both columns and the ways out.
func (c *Clash) Error() string {
	where := record.Address{File: c.Table.File, Sheet: c.Table.Sheet}
	return fmt.Sprintf("%s: column %s (%q) and column %s (%q) are both mapped to %s; give one of them another meaning, a replicate number, or set it aside",
		where, record.ColumnLetters(c.First.Number), c.First.Heading,
		record.ColumnLetters(c.Second.Number), c.Second.Heading, c.What)
}

// Apply fills the meanings of the table's columns. The error is a *Clash.
//
// Two columns may not be the same single measurement or part of a weighing,
// except that the columns of one heading become replicates of its measurement,
// and that a heading that is written in the mapping wins over one that is so
// only without its unit. Of two columns of one term the first that holds
// something in a row fills it, where it is not for several texts.
func Apply(m *Mapping, t *record.Table, known Known) ([]record.Finding, error) {
	a, err := apply(m, t, known)
	if err == nil {
		a.overruled()
	}
	return a.findings, err
}

func apply(m *Mapping, t *record.Table, known Known) (*application, error) {
	own := len(t.Columns)
	findings := disputed(t)
	nameTitles(t)
	at := spread(t)
	a := &application{m: m, t: t, known: known, own: own, at: at, seen: map[string]int{}, matches: make([]match, len(t.Columns)), findings: findings}
	for i := range own {
		if err := a.column(i); err != nil {
			return a, err
		}
	}
	for _, r := range a.repeated {
		a.count(r)
	}
	for i := range own {
		if t.Columns[i].Meaning.CarryDown {
			t.CarryDown(i) // before labels, which hold for what is blank then
			a.carry = append(a.carry, carriedFrom(t, i))
		}
	}
	for i := own; i < len(t.Columns); i++ {
		if err := a.column(i); err != nil {
			return a, err
		}
	}
	for i := range t.Columns {
		a.compareUnits(i)
	}
	a.tell()
	a.findings = joined(a.findings)
	return a, nil
}

// application is a mapping being applied to one table.
type application struct {
	m        *Mapping
	t        *record.Table
	known    Known
	own      int            // columns of the sheet; the others are labels
	at       map[string]int // places of the labels behind the columns, by their key
	carry    []carried      // columns whose blanks mean "as above"
	yields   [][2]int       // columns that take what a label says, with the label's column
	seen     map[string]int // column by what it means
	matches  []match        // by column
	repeated []replicates   // columns under one heading
	findings []record.Finding
	telling  telling
	units    *statedUnits // of the lines above; nil before they were read
}

// column settles column i.
func (a *application) column(i int) error {
	c := &a.t.Columns[i]
	meaning, how, ok := a.m.findColumn(c, a.known)
	a.matches[i] = how
	if !ok {
		if !a.isTitle(i) {
			a.leave(i)
		}
		return nil
	}
	a.m.inherit(&meaning, c, a.known, a.unitWritten(c, meaning))
	c.Meaning = meaning
	what := meaningKey(meaning)
	if what == "" {
		return nil
	}
	if meaning.Role == record.Term && a.known.Repeatable != nil && a.known.Repeatable(meaning.Term) {
		if j := a.sameName(i); i >= a.own && j >= 0 {
			a.yield(j, i)
		}
		return nil
	}
	j, twice := a.seen[what]
	if !twice {
		a.seen[what] = i
		return nil
	}
	first := &a.t.Columns[j]
	switch {
	case i >= a.own:
		a.yield(j, i) // a value beside the table fills the blanks of the column
	case a.replicates(j, i) && a.repeat(j, i):
	case a.replicates(j, i):
		a.leave(i)
	case a.matches[j].full && !how.full:
		a.leave(i)
	case how.full && !a.matches[j].full:
		a.seen[what] = i
		a.leave(j)
	case meaning.Role == record.Term && !a.known.OneColumn:
		a.findings = append(a.findings, shared(a.t, j, i))
	default:
		return &Clash{Table: a.t, First: *first, Second: *c, What: what}
	}
	return nil
}

// shared says that of two columns of one term only one can fill it.
func shared(t *record.Table, first, second int) record.Finding {
	c := &t.Columns[second]
	return record.Finding{Rule: "heading-shared", Level: record.Note, At: headingAddress(t, second), Also: []record.Address{headingAddress(t, first)},
		Field: c.Heading, Value: c.Heading,
		Reason: fmt.Sprintf("the heading and %q before it both mean %s; in each row the first non-blank one is published, and the other is kept in dynamicProperties",
			t.Columns[first].Heading, c.Meaning.Term)}
}

// yield lets a column take what a label says that means the same.
func (a *application) yield(column, label int) {
	yield(a.t, column, label)
	a.yields = append(a.yields, [2]int{column, label})
}

// isTitle reports whether a column holds lines above the table that have no name.
func (a *application) isTitle(i int) bool {
	return i >= a.own && strings.HasPrefix(a.t.Columns[i].Heading, Title)
}

// overruled tells of labels that mean what a column says, in rows in which the
// column says something else.
func (a *application) overruled() {
	for _, y := range a.yields {
		if filledIn(a.t.Rows, y[1]) > 0 {
			a.findings = append(a.findings, overruled(a.t, y[0], y[1]))
		}
	}
}

func overruled(t *record.Table, column, label int) record.Finding {
	name := t.Columns[label].Heading
	return record.Finding{Rule: "heading-shared", Level: record.Note, At: labelAddress(t, label), Also: []record.Address{headingAddress(t, column)},
		Field: name, Value: name,
		Reason: fmt.Sprintf("the label %q and the column %q have the same meaning; where they differ, the column is published and the label is kept in dynamicProperties",
			name, t.Columns[column].Heading)}
}

// sameName returns a column before i that has the same heading and means the
// same, or -1.
func (a *application) sameName(i int) int {
	for j := range i {
		c, d := &a.t.Columns[j], &a.t.Columns[i]
		if c.Meaning.Role == record.Term && c.Meaning.Term == d.Meaning.Term && Fold(c.Heading) == Fold(d.Heading) {
			return j
		}
	}
	return -1
}

// compareUnits doubts a heading in another unit than the mapping gives it.
func (a *application) compareUnits(i int) {
	c := &a.t.Columns[i]
	measured := c.Meaning.Role == record.Measurement || c.Meaning.Role == record.WeighPart
	if c.Meaning.Guessed && filledIn(a.t.Rows, i) > 0 {
		a.findings = append(a.findings, unitGuessed(a.t, i))
	}
	u := a.unitWritten(c, c.Meaning)
	if !measured || u == "" || c.Meaning.Unit == "" || u == c.Meaning.Unit {
		return
	}
	a.findings = append(a.findings, record.Finding{
		Rule: "heading-unit-differs", Level: record.Warning, At: headingAddress(a.t, i), Field: c.Heading, Value: c.Heading,
		Reason: fmt.Sprintf("the heading says %s but the mapping %s; cells without their own unit are read in %s", u, c.Meaning.Unit, c.Meaning.Unit)})
}

const ruleGuessed = "unit-guessed"

// unitGuessed is the finding on a column whose unit nobody wrote.
func unitGuessed(t *record.Table, i int) record.Finding {
	c := &t.Columns[i]
	return record.Finding{Rule: ruleGuessed, Level: record.Warning, At: headingAddress(t, i), Field: c.Heading, Value: c.Heading,
		Reason: fmt.Sprintf("neither the heading nor the mapping states a unit, so cells without their own are read in %s", c.Meaning.Unit)}
}

// unitWritten is the unit that the heading, a row below it or a line above the
// table gives a column, or "".
func (a *application) unitWritten(c *record.Column, m record.Meaning) string {
	if u := headingUnit(c, a.known); u != "" {
		return u
	}
	return a.unitAbove(m)
}

// leave takes a column's meaning and says so.
func (a *application) leave(i int) {
	a.t.Columns[i].Meaning = record.Meaning{}
	if f, doubt := unmatched(a.t, i); doubt {
		if i >= a.own {
			f.At = labelAddress(a.t, i)
		}
		a.findings = append(a.findings, f)
	}
}

// replicates reports whether two columns are under the same heading and that
// heading is a measurement.
func (a *application) replicates(i, j int) bool {
	c, d := &a.t.Columns[i], &a.t.Columns[j]
	return c.Meaning.Role == record.Measurement && a.matches[i].entry == a.matches[j].entry &&
		a.m.Headings[a.matches[i].entry].Replicate == 0 && Fold(c.Heading) == Fold(d.Heading)
}

// replicates are the columns of one heading, from the first to the last.
type replicates struct {
	first, last int
	n           int
	finding     int // place of what is said of them
}

// maxReplicates of one measurement is far more than anybody takes of an animal.
const maxReplicates = 100

// repeat notes that a column is under the heading of an earlier one. It is
// false where so many do that they are not replicates.
func (a *application) repeat(first, i int) bool {
	for k := range a.repeated {
		if r := &a.repeated[k]; r.first == first {
			if r.n++; r.n > maxReplicates {
				return false
			}
			r.last = i
			return true
		}
	}
	a.repeated = append(a.repeated, replicates{first, i, 2, len(a.findings)})
	a.findings = append(a.findings, record.Finding{})
	return true
}

// count numbers the columns of one heading from the left.
func (a *application) count(r replicates) {
	n, at := 0, []record.Address{}
	for i := r.first; i <= r.last; i++ {
		if i == r.first || a.matches[i].entry == a.matches[r.first].entry && a.replicates(r.first, i) {
			n++
			a.t.Columns[i].Meaning.Replicate = n
			at = append(at, headingAddress(a.t, i))
		}
	}
	heading := a.t.Columns[r.first].Heading
	a.findings[r.finding] = record.Finding{Rule: "heading-replicated", Level: record.Note, At: at[0], Also: at[1:], Field: heading, Value: heading,
		Reason: fmt.Sprintf("%d columns have this heading; they are read as replicates 1 to %d of one measurement", n, n)}
}

// headingAddress is the cell of a column's heading.
func headingAddress(t *record.Table, i int) record.Address {
	at := record.Address{File: t.File, Sheet: t.Sheet, Column: t.Columns[i].Number}
	if len(t.HeadingRows) > 0 {
		at.Row = t.HeadingRows[0]
	}
	if t.Transposed {
		at.Row, at.Column = at.Column, at.Row
	}
	return at
}

// labelAddress is the cell of the first label that column i came from.
func labelAddress(t *record.Table, i int) record.Address {
	for r := range t.Rows {
		if c := &t.Rows[r].Cells[i]; !c.Empty() {
			return t.Address(*c)
		}
	}
	for _, l := range t.Labels {
		if labelKey(l.Name) == labelKey(t.Columns[i].Heading) {
			return t.Address(l.Cell)
		}
	}
	return record.Address{File: t.File, Sheet: t.Sheet}
}

func meaningKey(m record.Meaning) string {
	switch m.Role {
	case record.Term:
		if m.Angle != "" {
			return fmt.Sprintf("the %s of the term %s", m.Angle, m.Term)
		}
		return "the term " + m.Term
	case record.Measurement:
		what := "the measurement " + m.Measurement
		if m.Side != "" {
			what += " on the " + m.Side
		}
		if m.Observer != "" {
			what += " by " + m.Observer
		}
		if m.Replicate > 0 {
			what += fmt.Sprintf(", replicate %d", m.Replicate)
		}
		return what
	case record.WeighPart:
		return "the weighing's " + m.Part
	case record.NameColumn:
		return "the name of the measurement"
	case record.ValueColumn:
		return "the value of the measurement"
	case record.UnitColumn:
		return "the unit of the measurement"
	}
	return ""
}

// unmatched reports a column that nothing matched; a column with neither a
// heading nor a value is no doubt at all.
func unmatched(t *record.Table, i int) (record.Finding, bool) {
	return sayUnmatched(notMatched(t, i), filledIn(t.Rows, i))
}

const ruleUnmatched = "heading-unmatched"

// notMatched is the finding without the number of cells. A column without a heading
// that numbers the rows, as programs write it, is worth a note.
func notMatched(t *record.Table, i int) record.Finding {
	c := t.Columns[i]
	f := record.Finding{Rule: ruleUnmatched, Level: record.Warning, At: headingAddress(t, i), Field: c.Heading, Value: c.Heading}
	if strings.TrimSpace(c.Heading) == "" && numbersRows(t.Rows, i) {
		f.Level = record.Note
	}
	return f
}

// numbersRows reports whether a column counts on from row to row, or begins anew.
func numbersRows(rows []record.TableRow, i int) bool {
	last := 0
	for r := range rows {
		n, err := strconv.Atoi(rows[r].Cells[i].Text)
		if err != nil || r > 0 && n != last+1 && n != 0 && n != 1 {
			return false
		}
		last = n
	}
	return len(rows) > 2
}

func sayUnmatched(f record.Finding, filled int) (record.Finding, bool) {
	f.Reason = fmt.Sprintf("no heading of the mapping matches, so its cells (%d) are kept in dynamicProperties", filled)
	switch {
	case f.Level == record.Note && filled > 0:
		f.Reason = fmt.Sprintf("the column has no heading and numbers the rows, so its cells (%d) are kept in dynamicProperties", filled)
	case filled == 0:
		f.Level, f.Reason = record.Note, "no heading of the mapping matches, and the column is empty"
	}
	return f, filled > 0 || strings.TrimSpace(f.Field) != ""
}

func filledIn(rows []record.TableRow, i int) int {
	return count(len(rows), func(r int) bool { return !rows[r].Cells[i].Empty() })
}
