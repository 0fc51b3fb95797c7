// Package draft proposes a survey folder for sheets that nobody has mapped: a
// mapping for each form, survey.yaml, and unfinished tables to go with them.
package draft

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/taxon"
)

// Options is what a draft may know besides the sheets.
type Options struct {
	Checklist string // path of a checklist, copied into the survey folder
	Title     string
	InPlace   bool // the sheets lie in the folder already and stay there
	// Ask puts a question about a sheet to a person and returns the place of the
	// answer among the question's answers; nil where nobody is there to ask.
	Ask func(where string, q mapping.Question) (int, error)
}

// Drafted says what a draft proposes, for the summary.
type Drafted struct {
	Folder    string
	Sheets    []Sheet
	LeftAlone []string // paths of files that programs left beside the sheets
}

// Sheet is one tab or text file of a draft.
type Sheet struct {
	File, Tab, Mapping string
	Tables, Rows       int
	Draft              *mapping.Draft
	Known              bool     // the form is one that the survey knows already
	Added, Gone        []string // its headings that the survey's does not have, and the other way round
}

// Write reads sheets, or those in a folder, and writes a survey folder that proposes their meaning:
// copies of the sheets, survey.yaml, one mapping for each form that they have,
// and stubs of the tables that go beside them. The folder has to be new or
// empty, or a survey folder, to which the sheets are added; the sheets
// themselves are not touched.
func Write(ctx context.Context, sheets []string, out string, o Options) (*Drafted, error) {
	d := &drafting{ctx: ctx, o: o, files: map[string][]byte{}, result: &Drafted{Folder: out}}
	if err := d.begin(out); err != nil {
		return nil, err
	}
	if o.Checklist != "" {
		if err := d.checklist(); err != nil {
			return nil, err
		}
	}
	sheets, err := d.choose(sheets)
	if err != nil {
		return nil, err
	}
	for _, path := range sheets {
		if err := d.sheet(path); err != nil {
			return nil, err
		}
	}
	if err := d.propose(); err != nil {
		return nil, err
	}
	if err := d.ask(); err != nil {
		return nil, err
	}
	d.distinguish()
	d.readTexts()
	d.nameTabs()
	d.writeMappings()
	if d.old == nil {
		d.stubs()
		d.files[survey.FileName] = d.survey()
	} else if err := d.addToSurvey(); err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return d.result, d.write(out)
}

type drafting struct {
	ctx      context.Context
	o        Options
	files    map[string][]byte
	there    []string // sheets that lie in the folder already
	names    *taxon.Checklist
	refs     []*entry
	forms    []*form
	lists    []*entry // lists of species and of codes in workbooks, no captures
	legend   map[string]string
	lines    []string   // that are beside tables and belong to no capture
	complete bool       // the sheets' own list has a name for every code of theirs
	old      *oldSurvey // the survey that sheets are added to; nil for a new one
	result   *Drafted
}

// form is what sheets with the same headings have in common: one mapping.
type form struct {
	headings string // folded, sorted
	draft    *mapping.Draft
	mapping  string // file name
	known    bool   // the mapping is one of the survey that sheets are added to
	changed  *changedForm
	notebook bool // the name of the notebook has to be part of the key
}

// entry is one line, or comment, of the list of sheets in survey.yaml.
type entry struct {
	comment  string
	sheet    record.Sheet
	tables   []record.Table
	form     *form
	explains bool                // words and codes of other sheets
	beside   string              // the mapping that such a sheet is listed with; see listLegends
	tab      *tabName            // what the name of the tab is, nil for nothing; see nameTabs
	texts    map[string][]string // what is under some terms in each capture; see readTexts
}

func (d *drafting) checklist() error {
	text, err := os.ReadFile(d.o.Checklist)
	if err != nil {
		return &output.InputError{File: d.o.Checklist, Err: err}
	}
	if d.names, err = taxon.ReadChecklist(bytes.NewReader(text), d.o.Checklist); err != nil {
		return &output.InputError{File: d.o.Checklist, Err: err}
	}
	d.files["checklist.csv"] = text
	return nil
}

// choose returns the sheets among paths, and in place of a folder those that lie in
// it, in the order of their names. What programs left beside them is left alone.
func (d *drafting) choose(paths []string) ([]string, error) {
	var out []string
	for _, p := range paths {
		info, err := os.Stat(p)
		if err != nil || !info.IsDir() {
			out = append(out, p) // reading it gives the error
			continue
		}
		entries, err := os.ReadDir(p)
		if err != nil {
			return nil, &output.InputError{File: p, Err: err}
		}
		before := len(out)
		for _, e := range entries {
			name := e.Name()
			if !e.IsDir() && (sheet.Leftover(name) != "" || sheet.Supported(name) && !strings.HasPrefix(name, ".")) {
				out = append(out, filepath.Join(p, name))
			}
		}
		if len(out) == before {
			return nil, &output.InputError{File: p, Err: fmt.Errorf("%s: there are no sheets in this folder; give a folder with text in columns, xlsx, xls or ods, or name sheets one by one", p)}
		}
	}
	return slices.DeleteFunc(out, func(p string) bool {
		what := sheet.Leftover(p)
		if what != "" {
			d.result.LeftAlone = append(d.result.LeftAlone, p)
			d.comment("%s: skipped, because it is %s", filepath.Base(p), what)
		}
		return what != ""
	}), nil
}

// sheet reads one file and proposes a mapping for each of its tabs.
func (d *drafting) sheet(path string) error {
	name := filepath.Base(path)
	if _, twice := d.files[name]; twice {
		return &output.CallError{Reason: fmt.Sprintf("two sheets are named %s; rename one", name)}
	}
	if !d.o.InPlace && !d.free(name) {
		return &output.Error{Path: filepath.Join(d.result.Folder, name), Err: errors.New("a draft never overwrites anything; rename the new sheet")}
	}
	all, found, err := sheet.Read(name, path, sheet.Options{})
	if err != nil {
		return &output.InputError{File: path, Err: err}
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return &output.InputError{File: path, Err: err}
	}
	d.files[name] = text
	if d.o.InPlace {
		d.there = append(d.there, name)
	}
	for _, f := range found {
		if f.Rule == "encoding-guessed" || f.Rule == "separator-guessed" {
			d.comment("%s: %s", f.At, f.Reason)
		}
	}
	for _, s := range all {
		tables, notes := layout.Find(s, layoutOptions)
		switch {
		case len(tables) > 0:
			d.explained(notes)
			d.refs = append(d.refs, &entry{sheet: s, tables: tables})
		case slices.ContainsFunc(notes, func(x record.Finding) bool { return x.Rule == "sheet-legend" }):
			d.comment("%s: explains words and codes; read for the draft and not published", record.Address{File: s.File, Sheet: s.Name})
			legend := d.refs[len(d.refs)-1]
			legend.sheet, legend.explains = s, true
			d.lists = append(d.lists, &entry{sheet: s, tables: []record.Table{rowsOf(s)}})
		default:
			d.comment("%s: no table was found", record.Address{File: s.File, Sheet: s.Name})
		}
	}
	return d.ctx.Err()
}

// explained takes up the lines that a layout left out of its tables: they may
// say what codes stand for.
func (d *drafting) explained(notes []record.Finding) {
	for _, f := range notes {
		if f.Rule == "remark-trailing" || f.Rule == "remark-inside" || f.Rule == "box-beside" {
			d.lines = append(d.lines, strings.Split(f.Value, "\n")...)
		}
	}
}

// rowsOf returns all rows of a sheet as they stand.
func rowsOf(s record.Sheet) record.Table {
	t := record.Table{File: s.File, Sheet: s.Name}
	for _, r := range s.Rows {
		t.Rows = append(t.Rows, record.TableRow{Number: r.Number, Cells: r.Cells})
	}
	return t
}

func (d *drafting) comment(format string, args ...any) {
	d.refs = append(d.refs, &entry{comment: mapping.Comment(fmt.Sprintf(format, args...))})
}

func (d *drafting) clues() mapping.Clues {
	clues := known.Clues()
	if len(d.legend) > 0 {
		clues.Legend = func(heading string) string { return d.legend[mapping.Fold(heading)] }
	}
	if d.names != nil {
		clues.Species = func(text string) bool { return d.names.Match(text).State == taxon.Matched }
	}
	return clues
}

// ask puts the questions of every draft, the most important first, and takes the
// answers into it.
func (d *drafting) ask() error {
	if d.o.Ask == nil {
		return nil
	}
	for _, f := range d.forms {
		if f.known {
			continue
		}
		for _, q := range f.draft.Questions() {
			if len(q.Answers) < 2 {
				continue
			}
			i, err := d.o.Ask(f.draft.Name, q)
			if err != nil {
				return err
			}
			q.Answers[i].Give()
		}
	}
	return nil
}

// mappingName makes a file name of a file and a tab.
func (d *drafting) mappingName(s record.Sheet) string {
	base := survey.Slug(strings.TrimSuffix(s.File, filepath.Ext(s.File)))
	if s.Name != "" {
		base += "-" + survey.Slug(s.Name)
	}
	name := base + ".yaml"
	for n := 2; d.files[name] != nil || name == survey.FileName || !d.free(name); n++ {
		name = fmt.Sprintf("%s-%d.yaml", base, n)
	}
	return name
}
