package draft

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
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
	"spadefoot/pipeline/weigh"
)

// oldSurvey is a survey folder that sheets are added to.
type oldSurvey struct {
	folder string
	survey *survey.Survey
	forms  []oldForm
}

// oldForm is the headings of one of its sheets, and the mapping of it.
type oldForm struct {
	headings []string
	mapping  string // file name
}

// changedForm is a form that is nearly one of the survey's.
type changedForm struct {
	added, gone []string
	text        []byte // its mapping: the old one, with what changed at its head
}

// begin looks at the folder that the draft is for: new, empty, or a survey.
func (d *drafting) begin(out string) error {
	if _, err := os.Stat(filepath.Join(out, survey.FileName)); err != nil {
		if d.o.InPlace {
			return nil
		}
		return output.MustBeEmpty(out, "a draft never overwrites anything: it makes a new folder, or adds to a survey folder")
	}
	if d.o.Checklist != "" || d.o.Title != "" {
		return &output.CallError{Reason: out + " is already a survey folder; its title and its checklist are in survey.yaml"}
	}
	s, err := survey.Load(output.Files(out), nil, known.Words())
	if err != nil {
		return err
	}
	d.old = &oldSurvey{folder: out, survey: s}
	for _, ref := range s.Sheets {
		name := mappingFile(ref)
		if name == "" {
			continue // it is in survey.yaml or comes with the program
		}
		tables, err := d.oldTables(ref)
		if err != nil {
			return err
		}
		if h := headingsOf(tables); h != "" {
			d.old.forms = append(d.old.forms, oldForm{strings.Split(h, "\n"), name})
		}
	}
	return nil
}

// mappingFile is the file that a sheet's mapping is in, or "".
func mappingFile(ref survey.SheetRef) string {
	name := strings.Trim(string(ref.RawMap), `"`)
	if strings.HasSuffix(name, ".yaml") || strings.HasSuffix(name, ".yml") {
		return name
	}
	return ""
}

// oldTables lays out the tabs of a sheet that an entry of the survey is for.
func (d *drafting) oldTables(ref survey.SheetRef) ([]record.Table, error) {
	path := filepath.Join(d.old.folder, filepath.FromSlash(ref.File))
	all, _, err := sheet.Read(ref.File, path, sheet.Options{})
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, &output.InputError{File: path, Err: err}
	}
	var tables []record.Table
	for _, s := range all {
		if len(ref.Tabs) == 0 || slices.Contains(ref.Tabs, s.Name) {
			found, _ := layout.Find(s, layoutOptions)
			tables = append(tables, found...)
		}
	}
	return tables, nil
}

// layoutOptions lets drafts pass over tables of checks of scales.
var layoutOptions = layout.Options{IsOther: weigh.IsOfChecks}

// alike is the share of headings in common from which a form counts as an
// earlier one that has changed.
const alike = 0.6

// recognise returns a form the mapping of the survey's sheets with the same
// headings, or that of nearly the same ones with the changes marked.
func (d *drafting) recognise(f *form) bool {
	if d.old == nil {
		return false
	}
	mine := strings.Split(f.headings, "\n")
	best, share := -1, alike
	for i, o := range d.old.forms {
		common := len(mine) - len(without(mine, o.headings))
		if s := float64(common) / float64(len(mine)+len(o.headings)-common); s > share || s == share && best < 0 {
			best, share = i, s
		}
	}
	if best < 0 {
		return false
	}
	f.known = true
	o := d.old.forms[best]
	added, gone := without(mine, o.headings), without(o.headings, mine)
	if len(added)+len(gone) == 0 {
		f.mapping = o.mapping
		return true
	}
	f.changed = &changedForm{added: added, gone: gone, text: d.markedMapping(o.mapping, added, gone, f)}
	return true
}

// without returns the texts of a that are not in b.
func without(a, b []string) []string {
	return slices.DeleteFunc(slices.Clone(a), func(s string) bool { return slices.Contains(b, s) })
}

// markedMapping is an earlier mapping with what changed at its head, and what
// the new headings may mean.
func (d *drafting) markedMapping(old string, added, gone []string, f *form) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "# %s with a changed form: check the headings named here, then delete these lines.\n", old)
	for _, h := range gone {
		fmt.Fprintf(&b, "# gone: %s\n", mapping.Comment(h))
	}
	guesses := map[string]string{}
	for _, g := range mapping.Propose(old, d.tablesOf(f), d.clues()).Guesses {
		guesses[mapping.Fold(g.Heading)] = g.Line()
	}
	for _, h := range added {
		fmt.Fprintf(&b, "# new: %s", mapping.Comment(h))
		if line := guesses[h]; line != "" {
			fmt.Fprintf(&b, "; a guess: %s", line)
		}
		b.WriteString("\n")
	}
	b.Write(d.old.survey.Files[old])
	return b.Bytes()
}

// addToSurvey writes the new sheets into the list of survey.yaml, behind the
// others, and leaves every other line as it is.
func (d *drafting) addToSurvey() error {
	text := d.old.survey.Files[survey.FileName]
	var lines []string
	for _, r := range d.refs {
		lines = append(lines, strings.TrimPrefix(r.line(), "  "))
	}
	out, ok := survey.Append(text, "sheets", lines)
	if !ok {
		return &output.InputError{File: filepath.Join(d.old.folder, survey.FileName),
			Err: fmt.Errorf("its list of sheets does not have one sheet per line, so nothing was added; add:\n%s", strings.Join(lines, "\n"))}
	}
	d.files[survey.FileName] = out
	return nil
}

// free reports whether no file of the folder has the name.
func (d *drafting) free(name string) bool {
	if d.old == nil && !d.o.InPlace {
		return true
	}
	_, err := os.Stat(filepath.Join(d.result.Folder, filepath.FromSlash(name)))
	return errors.Is(err, fs.ErrNotExist)
}

// addFiles writes files into a folder, survey.yaml last.
func addFiles(folder string, files map[string][]byte) error {
	names := slices.DeleteFunc(slices.Sorted(maps.Keys(files)), func(name string) bool { return name == survey.FileName })
	var all []output.NewFile
	for _, name := range append(names, survey.FileName) {
		all = append(all, output.NewFile{Path: filepath.Join(folder, filepath.FromSlash(name)), Write: func(w io.Writer) error {
			_, err := w.Write(files[name])
			return err
		}})
	}
	return output.WriteFiles(all)
}
