package pipeline

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"unicode"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/taxon"
)

// DraftOptions is what a draft may know besides the sheets.
type DraftOptions struct {
	Checklist string // path of a checklist, copied into the survey folder
	Title     string
	// Ask puts a question about a sheet to a person and gives the place of the
	// answer among the question's answers; nil where nobody is there to ask.
	Ask func(where string, q mapping.Question) (int, error)
}

// Drafted says what a draft proposes, for the summary.
type Drafted struct {
	Folder string
	Sheets []DraftedSheet
}

// DraftedSheet is one tab or text file of a draft.
type DraftedSheet struct {
	File, Tab, Mapping string
	Tables, Rows       int
	Draft              *mapping.Draft
}

// Draft reads sheets and writes a survey folder that proposes their meaning:
// copies of the sheets, survey.yaml, and one mapping for each tab. The folder
// has to be new or empty; the sheets themselves are not touched.
func Draft(ctx context.Context, sheets []string, out string, o DraftOptions) (*Drafted, error) {
	if err := output.MustBeEmpty(out, "a draft never writes over a survey"); err != nil {
		return nil, err
	}
	d := &drafting{ctx: ctx, o: o, files: map[string][]byte{}, result: &Drafted{Folder: out}}
	if o.Checklist != "" {
		if err := d.checklist(); err != nil {
			return nil, err
		}
	}
	for _, path := range sheets {
		if err := d.sheet(path); err != nil {
			return nil, err
		}
	}
	if err := d.ask(); err != nil {
		return nil, err
	}
	d.distinguish()
	d.files[survey.FileName] = d.survey()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return d.result, d.write(out)
}

type drafting struct {
	ctx    context.Context
	o      DraftOptions
	files  map[string][]byte
	names  *taxon.Checklist
	refs   []entry
	result *Drafted
}

// entry is one line, or comment, of the list of sheets in survey.yaml.
type entry struct {
	comment  string
	sheet    record.Sheet
	tables   []record.Table
	draft    *mapping.Draft
	mapping  string // file name
	notebook bool   // the name of the notebook has to be part of the key
}

func (d *drafting) checklist() error {
	text, err := os.ReadFile(d.o.Checklist)
	if err != nil {
		return &InputError{File: d.o.Checklist, Err: err}
	}
	if d.names, err = taxon.ReadChecklist(bytes.NewReader(text), d.o.Checklist); err != nil {
		return &InputError{File: d.o.Checklist, Err: err}
	}
	d.files["checklist.csv"] = text
	return nil
}

// sheet reads one file and proposes a mapping for each of its tabs.
func (d *drafting) sheet(path string) error {
	name := filepath.Base(path)
	if _, twice := d.files[name]; twice {
		return &CallError{fmt.Sprintf("two sheets are named %s; rename one", name)}
	}
	all, found, err := sheet.Read(name, path, sheet.Options{})
	if err != nil {
		return &InputError{File: path, Err: err}
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return &InputError{File: path, Err: err}
	}
	d.files[name] = text
	for _, f := range found {
		if f.Rule == "encoding-guessed" || f.Rule == "separator-guessed" {
			d.comment("%s: %s", f.At, f.Reason)
		}
	}
	for _, s := range all {
		tables, _ := layout.Find(s, layout.Options{})
		if len(tables) == 0 {
			d.comment("%s: no table was found", record.Address{File: s.File, Sheet: s.Name})
			continue
		}
		if err := d.propose(s, tables); err != nil {
			return err
		}
	}
	return d.ctx.Err()
}

func (d *drafting) comment(format string, args ...any) {
	d.refs = append(d.refs, entry{comment: mapping.Comment(fmt.Sprintf(format, args...))})
}

func (d *drafting) clues() mapping.Clues {
	clues := mapping.Clues{Repeatable: Known().Repeatable}
	if d.names != nil {
		clues.Species = func(text string) bool { return d.names.Match(text).State == taxon.Matched }
	}
	return clues
}

func (d *drafting) propose(s record.Sheet, tables []record.Table) error {
	title := s.File
	if s.Name != "" {
		title += ", tab " + s.Name
	}
	draft, err := mapping.Propose(title, tables, d.clues())
	if err != nil {
		return err
	}
	file := d.mappingName(s)
	d.files[file] = []byte{} // the name is taken
	d.refs = append(d.refs, entry{sheet: s, tables: tables, draft: draft, mapping: file})
	rows := 0
	for _, t := range tables {
		rows += len(t.Rows)
	}
	d.result.Sheets = append(d.result.Sheets, DraftedSheet{s.File, s.Name, file, len(tables), rows, draft})
	return nil
}

// ask puts the questions of every draft, the weightiest first, and takes the
// answers into it.
func (d *drafting) ask() error {
	if d.o.Ask == nil {
		return nil
	}
	for _, r := range d.refs {
		if r.draft == nil {
			continue
		}
		for _, q := range r.draft.Questions() {
			if len(q.Answers) < 2 {
				continue
			}
			i, err := d.o.Ask(r.draft.Name, q)
			if err != nil {
				return err
			}
			q.Answers[i].Give()
		}
	}
	return nil
}

// notebookTerm names the notebook that a sheet was typed from, by the
// definition of dwc:fieldNotes a reference to the notes taken in the field.
const notebookTerm = "fieldNotes"

// distinguish makes the name of the notebook a part of the key in sheets whose
// numbers stand in another sheet too, and writes all mappings.
func (d *drafting) distinguish() {
	first := map[string]int{}
	for i, r := range d.refs {
		if r.draft == nil || len(r.draft.Key) == 0 {
			continue
		}
		texts, _ := r.draft.KeyTexts(r.draft.Key, r.tables, d.clues())
		for _, t := range texts {
			j, taken := first[t]
			switch {
			case t == "":
			case !taken:
				first[t] = i
			case j != i:
				d.refs[i].notebook, d.refs[j].notebook = true, true
			}
		}
	}
	for _, r := range d.refs {
		if r.draft == nil {
			continue
		}
		if r.notebook {
			r.draft.Key = append([]string{notebookTerm}, r.draft.Key...)
		}
		d.files[r.mapping] = r.draft.YAML()
	}
}

// mappingName makes a file name of a file and a tab.
func (d *drafting) mappingName(s record.Sheet) string {
	base := slug(strings.TrimSuffix(s.File, filepath.Ext(s.File)))
	if s.Name != "" {
		base += "-" + slug(s.Name)
	}
	name := base + ".yaml"
	for n := 2; d.files[name] != nil || name == survey.FileName; n++ {
		name = fmt.Sprintf("%s-%d.yaml", base, n)
	}
	return name
}

func slug(s string) string {
	words := strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
		return r > unicode.MaxASCII || (!unicode.IsLetter(r) && !unicode.IsDigit(r))
	})
	if len(words) == 0 {
		return "sheet"
	}
	return strings.Join(words, "-")
}
