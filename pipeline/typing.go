package pipeline

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"
	"sync"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/forms"
	"spadefoot/pipeline/forms/formset"
	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/typing"
)

// TypedFolder is where the rows that are typed in are kept, below the survey
// folder.
const TypedFolder = "typed"

// Typing is a survey prepared for captures that are typed in: a form for each of
// its mappings, and what a row is checked against before it is kept. Rows are
// checked by the stages of a run, one row in place of a sheet. It may be asked
// from several goroutines; one row is checked at a time.
type Typing struct {
	Forms []TypedForm

	mu     sync.Mutex
	looked *Snapshot
	w      *walk // of the survey with the files of the forms among its sheets
	rules  []infer.SexRule
	infers infer.Settings
}

// TypedForm is what is typed into, from one mapping of the survey.
type TypedForm struct {
	Name    string         // of the mapping
	File    string         // that the rows are kept in, within the survey folder
	Mapping string         // file of the mapping that reads it
	Text    []byte         // that mapping
	Entry   []string       // lines for the list of sheets in survey.yaml
	Listed  bool           // survey.yaml has the file already
	Columns []forms.Column // of the file, the identifier of the row last

	ref   int // of the sheet
	table record.Table
}

// Headings are the first line of the file.
func (f *TypedForm) Headings() []string {
	out := make([]string, len(f.Columns))
	for i := range f.Columns {
		out[i] = f.Columns[i].Heading
	}
	return out
}

// Column is the index of the column with a heading, -1 for none.
func (f *TypedForm) Column(heading string) int {
	return slices.IndexFunc(f.Columns, func(c forms.Column) bool { return c.Heading == heading })
}

// Typing plans the forms of a survey. It is good until the survey is closed.
func (l *Snapshot) Typing() (_ *Typing, err error) {
	w, described := *l.walk, *l.walk.survey
	described.Sheets = slices.Clone(described.Sheets)
	w.survey = &described
	t := &Typing{looked: l, w: &w}
	if t.rules, err = infer.Rules(); err != nil {
		return nil, err
	}
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
		if !slices.ContainsFunc(t.Forms, func(o TypedForm) bool { return o.File == form.File }) {
			t.Forms = append(t.Forms, form)
		}
	}
	return nil
}

// form plans the form of one mapping.
func (t *Typing) form(about *formset.About, u formset.Use) (TypedForm, error) {
	source := formset.Source(about, u)
	plan, err := forms.New(source)
	if err != nil {
		return TypedForm{}, &CallError{Reason: fmt.Sprintf("%s: %v", u.Name, err)}
	}
	add := func(heading, label, says string, m record.Meaning) {
		if !slices.ContainsFunc(plan.Columns, func(c forms.Column) bool { return c.Heading == heading }) {
			plan.Columns = append(plan.Columns, forms.Column{Heading: heading, Name: heading, Label: label, Says: says, Meaning: m})
		}
	}
	add(typing.KeptHeading, "the doubts", "", record.Meaning{Role: record.Term, Term: "occurrenceRemarks"})
	add(typing.RowHeading, "identifier of the row", "", record.Meaning{Role: record.SetAside, Reason: "recognises a row that was sent twice"})
	out := TypedForm{Name: cmp.Or(u.Mapping.Name, u.Name), Columns: plan.Columns}
	out.File = t.free(baseOf(u.Name), out.Headings())
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
		var other *typing.HeadingsError
		if _, err := typing.Read(text, headings); !errors.As(err, &other) {
			return name
		}
		name = path.Join(TypedFolder, fmt.Sprintf("%s-%d.csv", base, n))
	}
}

// place gives the columns of a form their meaning, as a run will.
func (t *Typing) place(f *TypedForm, u formset.Use) error {
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
	f.Entry = entryLines(f, u.Defaults)
	if f.ref = slices.IndexFunc(w.survey.Sheets, func(s survey.SheetRef) bool { return s.File == f.File }); f.ref >= 0 {
		f.Listed, m = true, w.survey.Sheets[f.ref].Map
	} else {
		f.ref = len(w.survey.Sheets)
		w.survey.Sheets = append(w.survey.Sheets, survey.SheetRef{File: f.File, Map: m, Weighing: m.Weighing, Defaults: u.Defaults})
	}
	f.table = record.Table{File: f.File, Index: 1, HeadingRows: []int{1}}
	for i, c := range f.Columns {
		f.table.Columns = append(f.table.Columns, record.Column{Heading: c.Heading, Parts: []string{c.Heading}, Number: i + 1})
	}
	_, err = mapping.Apply(m, &f.table, words)
	return err
}

// entryLines is the entry of a file of typed rows in survey.yaml.
func entryLines(f *TypedForm, defaults map[string]any) []string {
	lines := []string{"- file: " + f.File, "  mapping: " + f.Mapping, "  layout: {headingRow: 1, headingRows: 1}"}
	if len(defaults) > 0 {
		lines = append(lines, "  defaults:")
		for _, term := range slices.Sorted(maps.Keys(defaults)) {
			lines = append(lines, "    "+term+": "+strconv.Quote(fmt.Sprint(defaults[term])))
		}
	}
	return lines
}

// ListTyped returns survey.yaml with the file of a form among its sheets. What
// else stands there stays as it is.
func ListTyped(text []byte, f *TypedForm) ([]byte, error) {
	out, ok := survey.Append(text, "sheets", f.Entry)
	if !ok {
		return nil, &CallError{Reason: fmt.Sprintf("%s: the list of sheets cannot be extended; add these lines to it yourself:\n%s", survey.FileName, strings.Join(f.Entry, "\n"))}
	}
	return out, nil
}

// baseOf makes the name of a file of the name of a mapping.
func baseOf(name string) string {
	base := survey.Slug(strings.TrimSuffix(strings.TrimSuffix(path.Base(name), ".yaml"), ".yml"))
	if base == "survey" || base == "" {
		return "captures"
	}
	return base
}

// Forms writes field forms for the mappings of a survey into a folder that is
// new or empty. With sensitive taxa the sheets are read, up to the judgement:
// forms are printed and handed on, and hold no place that a run would withhold.
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
