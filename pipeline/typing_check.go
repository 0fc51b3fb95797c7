package pipeline

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/normalise"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/typing"
	"spadefoot/pipeline/weigh"
)

// maxBefore is how many of the rows before it a row is read with: the decimal
// mark, the order of dates and the steps of a hand are told from them.
const maxBefore = 60

// Checked is what there is to say of a row.
type Checked struct {
	Doubts   []TypedDoubt // at warning or above, the gravest first
	Told     []TypedNote
	Expected []TypedNote // of each measured column
}

// TypedDoubt is one doubt. Column is an index; -1 where the row as a whole is
// meant.
type TypedDoubt struct {
	Column     int
	Rule       string
	Level      string
	Says       string // in a few words
	More       string // the reason without its figures
	Suggestion string
}

// TypedNote is something worth knowing, beside a column.
type TypedNote struct {
	Column int
	Says   string
}

// Check checks the last of the rows of a form against the survey and the rows
// before it, by the rules of a run.
func (t *Typing) Check(f *TypedForm, rows [][]string) (*Checked, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	from := max(0, len(rows)-maxBefore-1)
	captures, found, err := t.read(f, rows[from:], from+2)
	if err != nil || len(captures) == 0 {
		return &Checked{}, err
	}
	c := captures[len(captures)-1]
	if c.Row != len(rows)+1 { // nothing stands in the row
		return &Checked{}, nil
	}
	k := &checking{Typing: t, form: f, c: c, before: captures[:len(captures)-1], first: from + 2, at: c.Address(), found: found, out: &Checked{}}
	if err := k.judge(); err != nil {
		return nil, err
	}
	k.tell()
	k.expect()
	k.doubts()
	return k.out, nil
}

// read takes rows of the file, from the number of the first of them, to captures,
// each weighed.
func (t *Typing) read(f *TypedForm, rows [][]string, first int) ([]*record.Capture, []record.Finding, error) {
	x, err := t.w.context(f.ref)
	if err != nil {
		return nil, nil, err
	}
	table := f.table
	for i, row := range rows {
		cells := make([]record.Cell, len(f.Columns))
		for k := range cells {
			cells[k] = record.Cell{Row: first + i, Column: k + 1}
			if k < len(row) && row[k] != "" {
				cells[k].Text, cells[k].Kind = row[k], record.Text
			}
		}
		table.Rows = append(table.Rows, record.TableRow{Number: first + i, Cells: cells})
	}
	reader := normalise.Begin(&table, x)
	captures, found := reader.Add(table.Rows)
	last, more := reader.End()
	captures = append(captures, last...)
	for _, c := range captures {
		fs := weigh.Weigh(c, t.w.tables.bags, t.w.learned.weighed)
		if c.Row == first+len(rows)-1 {
			found = append(found, fs...)
		}
	}
	return captures, append(found, more...), nil
}

// checking is the work on one row.
type checking struct {
	*Typing
	form   *TypedForm
	c      *record.Capture
	before []*record.Capture // of the rows typed before, as far as they are read again
	first  int               // row of the first of them
	at     record.Address
	found  []record.Finding
	out    *Checked
}

// judge puts the capture to the rules of screening and inference, and compares
// it with the one before it of the same animal.
func (k *checking) judge() error {
	w := k.w
	k.found = append(k.found, w.learned.tares.Judge(k.c, w.learned.weighed)...)
	k.found = append(k.found, screen.Judge(k.c, w.verdicts.screening.Summary(), w.tables.limits, w.learned.screened)...)
	_, fs := infer.Sex(k.c, k.rules, k.infers)
	k.found = append(k.found, fs...)
	earlier, err := k.earlier()
	if err != nil {
		return err
	}
	if n := len(earlier); n > 0 {
		k.found = append(k.found, w.learned.marks.Follow(earlier[n-1], k.c)...)
		k.note("organismID", typing.Earlier(k.c.Get("organismID"), earlier, k.label))
	}
	taken, err := k.looked.hasKey(k.c.Key, k.at)
	if err != nil {
		return err
	}
	if k.c.Key != "" && (taken || slices.ContainsFunc(k.before, func(c *record.Capture) bool { return c.Key == k.c.Key })) {
		k.found = append(k.found, record.Finding{Rule: "key-repeated", Level: record.Error, At: k.keyAt(), Capture: k.c.Key,
			Reason: k.c.Key + " already identifies another capture"})
	}
	return nil
}

// keyAt is the cell that names the capture.
func (k *checking) keyAt() record.Address {
	at := k.at
	terms := keyTerms(k.w.survey.Sheets[k.form.ref].Map.Key)
	at.Column = k.columnOf(func(m record.Meaning) bool { return m.Role == record.Term && slices.Contains(terms, m.Term) }) + 1
	return at
}

// label names a measurement within a sentence.
func (k *checking) label(name string) string {
	return strings.ToLower(cmp.Or(k.w.label(name), name))
}

// earlier are the captures of the same animal, of the survey and of the rows
// before, in the order of their dates.
func (k *checking) earlier() ([]*record.Capture, error) {
	mark := k.c.Mark()
	if mark == "" {
		return nil, nil
	}
	var out []*record.Capture
	all, err := k.looked.marked(mark)
	if err != nil {
		return nil, err
	}
	for _, c := range all {
		if c.File != k.form.File || c.Row < k.first {
			out = append(out, c)
		}
	}
	for _, c := range k.before {
		if c.Mark() == mark {
			out = append(out, c)
		}
	}
	sorting.StableFunc(out, func(a, b *record.Capture) int { return strings.Compare(a.Get("eventDate"), b.Get("eventDate")) })
	return out, nil
}

// note says something beside the column of a term.
func (k *checking) note(term, says string) {
	if says != "" {
		k.out.Told = append(k.out.Told, TypedNote{k.columnOf(func(m record.Meaning) bool { return m.Term == term }), says})
	}
}

func (k *checking) columnOf(is func(record.Meaning) bool) int {
	return slices.IndexFunc(k.form.table.Columns, func(c record.Column) bool { return is(c.Meaning) })
}

// tell says what the animal weighs and how its bag was before.
func (k *checking) tell() {
	part := func(name string) int {
		return k.columnOf(func(m record.Meaning) bool { return m.Role == record.WeighPart && m.Part == name })
	}
	if says := typing.Net(k.c); says != "" && k.c.Weighing != nil && k.c.Weighing.Gross != nil {
		k.out.Told = append(k.out.Told, TypedNote{part(record.Gross), says})
	}
	says, differs := typing.Bag(k.c, k.evening())
	switch {
	case differs && k.c.Weighing.Tare.From.Row == k.at.Row:
		k.found = append(k.found, record.Finding{Rule: "tare-unlike-session", Level: record.Warning, At: k.c.Weighing.Tare.From, Reason: says})
	case says != "":
		k.out.Told = append(k.out.Told, TypedNote{part(record.Tare), says})
	}
}

// evening are the captures typed before at the same place on the same day.
func (k *checking) evening() (out []*record.Capture) {
	for _, c := range k.before {
		if c.Get("eventDate") == k.c.Get("eventDate") && c.Get("locality") == k.c.Get("locality") {
			out = append(out, c)
		}
	}
	return out
}

// expect says for each measured column what the others let expect, in the unit
// of the column; for the gross mass what they let expect of the animal.
func (k *checking) expect() {
	column := map[string]int{}
	var names []string
	for i, c := range k.form.table.Columns {
		name := c.Meaning.Measurement
		if c.Meaning.Role == record.WeighPart && c.Meaning.Part == record.Gross {
			name = "bodyMass"
		}
		if _, there := column[name]; name != "" && !there {
			column[name] = i
			names = append(names, name)
		}
	}
	for _, e := range screen.Expect(k.c, names, k.doubted(), k.w.verdicts.screening.Summary(), k.w.learned.screened) {
		i := column[e.Measurement]
		unit := cmp.Or(k.form.Columns[i].Meaning.Unit, k.form.table.Columns[i].Meaning.Unit)
		by := factor(k.w.survey.Measures().Get(e.Measurement).Unit, unit)
		says := "expected " + rangeWords(e.Low*by, e.High*by) + " " + quantity.Display(unit)
		if e.Measurement == "bodyMass" && k.form.Columns[i].Meaning.Role == record.WeighPart {
			says = "Animal alone " + says
		}
		k.out.Expected = append(k.out.Expected, TypedNote{i, says})
	}
}

// doubted are the measurements that are found to be in doubt.
func (k *checking) doubted() (out []string) {
	for _, f := range k.found {
		if f.Level >= record.Warning && k.column(f) >= 0 {
			out = append(out, f.Field)
		}
	}
	return out
}

// rangeWords writes the ends of a range to three digits of the larger.
func rangeWords(low, high float64) string {
	decimals := 0
	if high > 0 {
		decimals = max(0, 2-int(math.Floor(math.Log10(high))))
	}
	return fixed(low, decimals) + " to " + fixed(high, decimals)
}

// doubts puts what was found on the row into the words of the report.
func (k *checking) doubts() {
	record.SortFindings(k.found)
	for _, f := range k.found {
		level, on := k.w.survey.Level(f.Rule, f.Level)
		column := k.column(f)
		switch {
		case !on || column < -1:
		case level >= record.Warning:
			said := report.Say(f)
			k.out.Doubts = append(k.out.Doubts, TypedDoubt{Column: column, Rule: f.Rule, Level: level.String(), Says: record.Capital(report.Short(f.Reason)), More: strings.TrimSpace(said.Lead + " " + said.Rest), Suggestion: f.Suggestion})
		case f.Rule == "sex-indicated":
			k.out.Told = append(k.out.Told, TypedNote{column, record.Capital(report.Short(f.Reason))})
		}
	}
}

// column is the index of the column that a finding stands at, -1 for the row and
// less for another row.
func (k *checking) column(f record.Finding) int {
	for _, at := range append([]record.Address{f.At}, f.Also...) {
		if at.File == k.at.File && at.Row == k.at.Row {
			return at.Column - 1
		}
	}
	return -2
}

func fixed(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }
