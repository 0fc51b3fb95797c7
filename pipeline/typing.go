package pipeline

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
	"sync"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/forms"
	"spadefoot/pipeline/forms/formset"
	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/normalise"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/report/findings"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/typing"
	"spadefoot/pipeline/weigh"
)

// TypedFolder is where the rows that are typed in are kept, below the survey
// folder.
const TypedFolder = "typed"

// Typing is a survey prepared for captures that are typed in: a form for each of
// its mappings, and what a row is checked against before it is kept. Rows are
// checked by the stages of a run, one row in place of a sheet. It may be asked
// from several goroutines; one row is checked at a time.
type Typing struct {
	Forms []typing.Form

	mu     sync.Mutex
	looked *Snapshot
	w      *walk // of the survey with the files of the forms among its sheets
	rules  []infer.SexRule
	infers infer.Settings
}

// Typing plans the forms of a survey. It is good until the survey is closed.
func (l *Snapshot) Typing() (_ *Typing, err error) {
	w, described := *l.walk, *l.walk.survey
	described.Sheets = slices.Clone(described.Sheets)
	w.survey = &described
	t := &Typing{looked: l, w: &w, rules: infer.Rules()}
	if t.infers, err = w.inferSettings(); err != nil {
		return nil, err
	}
	return t, t.plan()
}

// plan makes a form of each mapping. A mapping that was written for typed rows
// has a form only where none of another mapping goes into the same file.
func (t *Typing) plan() error {
	about := t.w.aboutForms()
	uses := formset.Uses(t.w.survey)
	typed := func(u formset.Use) bool { return path.Dir(u.Name) == TypedFolder }
	sorting.StableFunc(uses, func(a, b formset.Use) int {
		switch {
		case typed(a) == typed(b):
			return 0
		case typed(a):
			return 1
		}
		return -1
	})
	for _, u := range uses {
		form, err := t.form(about, u)
		if err != nil {
			return err
		}
		if !slices.ContainsFunc(t.Forms, func(o typing.Form) bool { return o.File == form.File }) {
			t.Forms = append(t.Forms, form)
		}
	}
	return nil
}

// form plans the form of one mapping.
func (t *Typing) form(about *formset.About, u formset.Use) (typing.Form, error) {
	source := formset.Source(about, u)
	plan, err := forms.New(source)
	if err != nil {
		return typing.Form{}, &CallError{Reason: fmt.Sprintf("%s: %v", u.Name, err)}
	}
	add := func(heading, label, says string, m record.Meaning) {
		if !slices.ContainsFunc(plan.Columns, func(c forms.Column) bool { return c.Heading == heading }) {
			plan.Columns = append(plan.Columns, forms.Column{Heading: heading, Name: heading, Label: label, Says: says, Meaning: m})
		}
	}
	add(typing.KeptHeading, "the doubts", "", record.Meaning{Role: record.Term, Term: "occurrenceRemarks"})
	add(typing.RowHeading, "identifier of the row", "", record.Meaning{Role: record.SetAside, Reason: "recognises a row that was sent twice"})
	out := typing.Form{Name: cmp.Or(u.Mapping.Name, u.Name), Columns: plan.Columns}
	out.File = t.free(typing.BaseName(u.Name), out.Headings())
	out.Mapping = strings.TrimSuffix(out.File, ".csv") + ".yaml"
	if out.Text, err = plan.Mapping(); err != nil {
		return out, err
	}
	return out, t.place(&out, u)
}

// free returns the file for rows with these headings: the one that has them, or a
// new one where a file of that name has others.
func (t *Typing) free(base string, headings []string) string {
	name := path.Join(TypedFolder, base+".csv")
	for n := 2; ; n++ {
		text, err := fs.ReadFile(t.w.files, name)
		if err != nil {
			return name
		}
		if _, err := typing.Read(text, headings); !errors.As(err, new(*typing.HeadingsError)) {
			return name
		}
		name = path.Join(TypedFolder, fmt.Sprintf("%s-%d.csv", base, n))
	}
}

// place gives the columns of a form their meaning, as a run will.
func (t *Typing) place(f *typing.Form, u formset.Use) error {
	w := t.w
	doc, err := config.Parse(f.Mapping, f.Text)
	if err != nil {
		return err
	}
	words := known.Words()
	for _, in := range w.survey.Instruments {
		words.Instruments = append(words.Instruments, in.Name)
	}
	m, err := mapping.Parse(doc, words)
	if err != nil {
		return err
	}
	f.Entry = f.EntryLines(u.Defaults)
	if f.Sheet = slices.IndexFunc(w.survey.Sheets, func(s survey.SheetRef) bool { return s.File == f.File }); f.Sheet >= 0 {
		f.Listed, m = true, w.survey.Sheets[f.Sheet].Map
	} else {
		f.Sheet = len(w.survey.Sheets)
		w.survey.Sheets = append(w.survey.Sheets, survey.SheetRef{File: f.File, Map: m, Weighing: m.Weighing, Defaults: u.Defaults})
	}
	f.Table = record.Table{File: f.File, Index: 1, HeadingRows: []int{1}}
	for i, c := range f.Columns {
		f.Table.Columns = append(f.Table.Columns, record.Column{Heading: c.Heading, Parts: []string{c.Heading}, Number: i + 1})
	}
	_, err = mapping.Apply(m, &f.Table, words)
	return err
}

// ListTyped returns survey.yaml with the file of a form among its sheets. What
// else is there stays as it is.
func ListTyped(text []byte, f *typing.Form) ([]byte, error) {
	out, ok := survey.Append(text, "sheets", f.Entry)
	if !ok {
		return nil, &CallError{Reason: fmt.Sprintf("%s: the list of sheets cannot be extended; add these lines to it yourself:\n%s", survey.FileName, strings.Join(f.Entry, "\n"))}
	}
	return out, nil
}

// Forms writes field forms for the mappings of a survey into a folder that is
// new or empty. With sensitive taxa the sheets are read, up to the judgement:
// forms are printed and passed on, and contain no place that a run would withhold.
func Forms(ctx context.Context, folder, out string, o formset.Options) (_ *formset.Formed, err error) {
	if err := output.MustBeEmpty(out, "forms never overwrite what somebody may have typed; give another folder"); err != nil {
		return nil, err
	}
	asked := Options{Flags: o.Flags, proposing: true}
	w, err := start(folder, asked)
	if err != nil {
		return nil, err
	}
	defer w.close(&err)
	if w.sensitive.file != "" {
		w.temp = os.TempDir()
		if err := w.walk(ctx, asked, append(judged[:len(judged):len(judged)], stage{"guard", (*walk).guardDescription})); err != nil {
			return nil, err
		}
	}
	return formset.Make(ctx, w.aboutForms(), out, o)
}

// aboutForms is what forms are made from.
func (w *walk) aboutForms() *formset.About {
	return &formset.About{Survey: w.survey, Files: w.files, Checklist: w.tables.checklist, Sites: w.tables.sites, Limits: w.tables.limits,
		Sensitive: w.sensitive.file, Hidden: w.sensitive.result, Withheld: w.counts.Withheld > 0, Guard: w.guardFile}
}

// maxBefore is how many of the rows before it a row is read with: they show the
// decimal mark, the order of dates and the steps of a hand.
const maxBefore = 60

// checking is the work on one row.
type checking struct {
	*Typing
	form   *typing.Form
	c      *record.Capture
	before []*record.Capture // of the rows typed before, as far as they are read again
	first  int               // row of the first of them
	at     record.Address
	found  []record.Finding
	out    *typing.Checked
}

// Check checks the last of the rows of a form against the survey and the rows
// before it, by the rules of a run.
func (t *Typing) Check(f *typing.Form, rows [][]string) (*typing.Checked, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	from := max(0, len(rows)-maxBefore-1)
	captures, found, err := t.read(f, rows[from:], from+2)
	if err != nil || len(captures) == 0 {
		return &typing.Checked{}, err
	}
	c := captures[len(captures)-1]
	if c.Row != len(rows)+1 { // nothing is in the row
		return &typing.Checked{}, nil
	}
	k := &checking{Typing: t, form: f, c: c, before: captures[:len(captures)-1], first: from + 2, at: c.Address(), found: found, out: &typing.Checked{}}
	if err := k.judge(); err != nil {
		return nil, err
	}
	k.describe()
	k.expect()
	k.doubts()
	return k.out, nil
}

// read takes rows of the file, from the number of the first of them, to captures,
// each weighed.
func (t *Typing) read(f *typing.Form, rows [][]string, first int) ([]*record.Capture, []record.Finding, error) {
	x, err := t.w.context(f.Sheet)
	if err != nil {
		return nil, nil, err
	}
	table := f.Table
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
	terms := keyTerms(k.w.survey.Sheets[k.form.Sheet].Map.Key)
	at.Column = k.columnOf(func(m record.Meaning) bool { return slices.Contains(terms, m.Term) }) + 1
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
		k.out.Told = append(k.out.Told, typing.Note{Column: k.columnOf(func(m record.Meaning) bool { return m.Term == term }), Says: says})
	}
}

func (k *checking) columnOf(is func(record.Meaning) bool) int {
	return slices.IndexFunc(k.form.Table.Columns, func(c record.Column) bool { return is(c.Meaning) })
}

// describe says what the animal weighs and how its bag was before.
func (k *checking) describe() {
	part := func(name string) int {
		return k.columnOf(func(m record.Meaning) bool { return m.Part == name })
	}
	if says := typing.Net(k.c); says != "" && k.c.Weighing != nil && k.c.Weighing.Gross != nil {
		k.out.Told = append(k.out.Told, typing.Note{Column: part(record.Gross), Says: says})
	}
	says, differs := typing.Bag(k.c, k.evening())
	switch {
	case differs && k.c.Weighing.Tare.From().Row == k.at.Row:
		k.found = append(k.found, record.Finding{Rule: "tare-unlike-session", Level: record.Warning, At: k.c.Weighing.Tare.From(), Reason: says})
	case says != "":
		k.out.Told = append(k.out.Told, typing.Note{Column: part(record.Tare), Says: says})
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

// expect says for each measured column what the others predict, in the unit
// of the column; for the gross mass what they predict for the animal.
func (k *checking) expect() {
	column := map[string]int{}
	var names []string
	for i, c := range k.form.Table.Columns {
		name := c.Meaning.Measurement
		if c.Meaning.Part == record.Gross {
			name = "bodyMass"
		}
		if _, there := column[name]; name != "" && !there {
			column[name] = i
			names = append(names, name)
		}
	}
	for _, e := range screen.Expect(k.c, names, k.doubted(), k.w.verdicts.screening.Summary(), k.w.learned.screened) {
		i := column[e.Measurement]
		unit := cmp.Or(k.form.Columns[i].Meaning.Unit, k.form.Table.Columns[i].Meaning.Unit)
		by := factor(k.w.survey.Measures().Get(e.Measurement).Unit, unit)
		says := "expected " + typing.Range(e.Low*by, e.High*by) + " " + quantity.Display(unit)
		if e.Measurement == "bodyMass" && k.form.Columns[i].Meaning.Role == record.WeighPart {
			says = "Animal alone " + says
		}
		k.out.Expected = append(k.out.Expected, typing.Note{Column: i, Says: says})
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

// doubts puts what was found on the row into the words of the report.
func (k *checking) doubts() {
	record.SortFindings(k.found)
	for _, f := range k.found {
		level, on := k.w.survey.Level(f.Rule, f.Level)
		column := k.column(f)
		switch {
		case !on || column < -1:
		case level >= record.Warning:
			said := report.SplitReason(f)
			k.out.Doubts = append(k.out.Doubts, typing.Doubt{Column: column, Rule: f.Rule, Level: level.String(), Says: record.Capital(findings.Short(f.Reason)), More: strings.TrimSpace(said.Lead + " " + said.Rest), Suggestion: f.Suggestion})
		case f.Rule == "sex-indicated":
			k.out.Told = append(k.out.Told, typing.Note{Column: column, Says: record.Capital(findings.Short(f.Reason))})
		}
	}
}

// column is the index of the column that a finding is at, -1 for the row and
// less for another row.
func (k *checking) column(f record.Finding) int {
	for _, at := range f.Places() {
		if at.File == k.at.File && at.Row == k.at.Row {
			return at.Column - 1
		}
	}
	return -2
}
