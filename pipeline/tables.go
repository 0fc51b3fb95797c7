package pipeline

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	tableschemas "spadefoot/pipeline/darwincore/tables"
	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/budget"
	"spadefoot/pipeline/record/lines"
	"spadefoot/pipeline/remedy"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/taxon"
	"spadefoot/pipeline/weigh"
	"spadefoot/pipeline/withhold"
	"spadefoot/pipeline/withhold/exact"
)

// published are the published descriptors of fields, if the survey has them.
func (t *tables) published() tableschemas.Descriptors {
	if t == nil {
		return nil
	}
	return t.descriptors
}

// loadTables reads the files that survey.yaml names under tables.
func (w *walk) loadTables() error {
	w.tables = &tables{}
	t := w.survey.Tables
	for _, one := range []struct {
		name string
		read func(io.Reader) error
	}{
		{t.Checklist, func(r io.Reader) (err error) { w.tables.checklist, err = taxon.ReadChecklist(r, t.Checklist); return }},
		{t.Sites, func(r io.Reader) error {
			sites, err := place.ReadSites(r)
			w.tables.sites = &sites
			return err
		}},
		{t.Bags, func(r io.Reader) (err error) { w.tables.bags, err = weigh.ReadBags(r, t.Bags); return }},
		{t.Checks, func(r io.Reader) (err error) {
			w.tables.checks, err = weigh.ReadChecks(r, t.Checks, w.instruments())
			return
		}},
		{t.Specimens, func(r io.Reader) (err error) { w.tables.specimens, err = infer.ReadSpecimens(r); return }},
		{t.Limits, func(r io.Reader) (err error) { w.tables.limits, err = screen.ReadLimits(r, t.Limits); return }},
	} {
		if one.name == "" {
			continue
		}
		if err := w.loadTable(one.name, one.read); err != nil {
			return err
		}
	}
	return w.loadDescriptors()
}

// loadDescriptors reads the table schemas of the data package as published,
// where the survey names a folder of them.
func (w *walk) loadDescriptors() (err error) {
	name := w.survey.Archive.Descriptors
	if name == "" {
		return nil
	}
	folder := name
	if !filepath.IsAbs(name) {
		folder = w.inputs.Path(name)
		files, _ := fs.Glob(os.DirFS(folder), "*.json") // the pattern is sound
		for _, file := range files {
			w.inputs.Note(path.Join(filepath.ToSlash(name), file))
		}
	}
	if w.tables.descriptors, err = tableschemas.ReadDescriptors(os.DirFS(folder)); err != nil {
		return &InputError{File: name, Err: fmt.Errorf("archive.descriptors: %w", err)}
	}
	return nil
}

func (w *walk) loadTable(name string, read func(io.Reader) error) error {
	text, err := fs.ReadFile(w.files, name)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			err = w.survey.NoTable(name)
		}
		return &InputError{File: name, Err: err}
	}
	if most := w.survey.Budgets.OrUsual().Rows; bytes.Count(text, []byte{'\n'}) > most {
		return &InputError{File: name, Err: &sheet.Error{File: name, Cause: fmt.Sprintf("the table has more than %d lines", most), Advice: budget.Advice(budget.Rows)}}
	}
	if err := read(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff")))); err != nil {
		err = w.hush(name, err)
		switch said := err.Error(); {
		case strings.HasPrefix(said, name):
		case strings.HasPrefix(said, "line "):
			err = fmt.Errorf("%s, %w", name, err)
		default:
			err = fmt.Errorf("%s: %w", name, err)
		}
		return &InputError{File: name, Err: err}
	}
	w.inputs.NoteText(name, text)
	return nil
}

// own are the files that the survey is read from, whether they are there or
// not. None of them is ever written.
func (w *walk) own() []string {
	t := w.survey.Tables
	files := []string{survey.FileName, t.Checklist, t.Bags, t.Checks, t.Limits, t.Sites, t.Specimens, cmp.Or(t.Sensitive, withhold.FileName), t.Known}
	if !w.proposing {
		name, _ := w.remediesFiles()
		files = append(files, name, beside(name))
	}
	files = slices.AppendSeq(files, maps.Keys(w.survey.Files))
	for _, ref := range w.survey.Sheets {
		files = append(files, ref.File)
	}
	slices.Sort(files)
	return slices.DeleteFunc(slices.Compact(files), func(f string) bool { return f == "" })
}

// spareInputs refuses to write a file of the survey.
func (w *walk) spareInputs(o Options) error {
	own := w.own()
	for _, flag := range slices.Sorted(maps.Keys(o.Writes)) {
		if err := output.Spare(o.Writes[flag], w.folder, own); err != nil {
			return &CallError{Reason: flag + ": " + err.Error()}
		}
	}
	if o.ExactPlaces == "" {
		return nil
	}
	if err := output.Spare(o.ExactPlaces, w.folder, own); err != nil {
		return &CallError{Reason: "--exact-places: " + err.Error()}
	}
	return nil
}

// spareOutputs refuses to release outputs in the place of files of the survey.
func (w *walk) spareOutputs(out string) error {
	own := w.own()
	for _, name := range w.written {
		if err := output.SpareAll(filepath.Join(out, filepath.FromSlash(name)), w.folder, own); err != nil {
			return &CallError{Reason: "--out: " + err.Error()}
		}
	}
	return nil
}

// askExact checks where the exact places are to be written, before any work is
// done. It returns nil where nobody asked.
func (w *walk) askExact(path, out string) (*exact.File, error) {
	if path == "" {
		return nil, nil
	}
	if w.sensitive.file == "" {
		return nil, &CallError{Reason: "--exact-places: the survey names no table of sensitive taxa (tables.sensitive), so all places are in the archive; leave the flag out, or name such a table (spadefoot help sensitive)"}
	}
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		return nil, &CallError{Reason: "--exact-places: " + path + " is not a file; give the path of the file to write"}
	}
	inside, err := output.Within(path, out)
	if err != nil {
		return nil, &OutputError{Path: path, Err: err}
	}
	if inside {
		return nil, &CallError{Reason: fmt.Sprintf("--exact-places: %s is in the output folder, which is meant to be published; choose a place outside %s", path, out)}
	}
	folder := filepath.Dir(path)
	if info, err := os.Stat(folder); err != nil || !info.IsDir() {
		return nil, &CallError{Reason: "--exact-places: the folder " + folder + " does not exist"}
	}
	return exact.New(path), nil
}

// insteadOf is a folder in which some files have another text.
type insteadOf struct {
	fs.FS
	texts map[string][]byte
}

// ReadFile implements fs.ReadFileFS.
func (f insteadOf) ReadFile(name string) ([]byte, error) {
	if text, ok := f.texts[name]; ok {
		return text, nil
	}
	return fs.ReadFile(f.FS, name)
}

// sensitiveFile is the table that survey.yaml names, or the usual one if it is
// there: a survey that forgot to name it must not tell every place.
func (w *walk) sensitiveFile() string {
	if name := w.survey.Tables.Sensitive; name != "" {
		return name
	}
	if _, err := fs.Stat(w.files, withhold.FileName); err == nil {
		return withhold.FileName
	}
	return ""
}

func (w *walk) loadSensitive() error {
	name := w.sensitiveFile()
	if name == "" {
		return nil
	}
	w.sensitive.file = name
	return w.loadTable(name, func(r io.Reader) (err error) {
		w.sensitive.rules, err = withhold.Read(r, name, terms.Known)
		return err
	})
}

// hush takes texts out of what is wrong with the table of sites of a survey
// with sensitive taxa: messages end up in logs.
func (w *walk) hush(name string, err error) error {
	if name != w.survey.Tables.Sites || w.sensitiveFile() == "" {
		return err
	}
	var joined interface{ Unwrap() []error }
	if errors.As(err, &joined) {
		var out []error
		for _, e := range joined.Unwrap() {
			out = append(out, w.hush(name, e))
		}
		return errors.Join(out...)
	}
	cell, ok := errors.AsType[*place.CellError](err)
	if !ok {
		return err
	}
	return &lines.Error{File: name, Line: cell.Line, Column: cell.Heading,
		Reason: "cannot be used; the text is not shown because the survey has sensitive places"}
}

// remediesFiles are the tables that are there: the one that survey.yaml names, or
// the usual one, and the one beside it of the other kind, CSV or workbook. The
// name is that of the first.
func (w *walk) remediesFiles() (name string, there []string) {
	if name = w.survey.Tables.Remedies; name == "" {
		name = remedy.FileName
	}
	for _, one := range []string{name, beside(name)} {
		if _, err := fs.Stat(w.files, one); one != "" && !errors.Is(err, fs.ErrNotExist) {
			there = append(there, one)
		}
	}
	return name, there
}

// beside is the name of the workbook beside a table of remedies, or of the CSV
// beside a workbook; "" for none.
func beside(name string) string {
	switch ext := path.Ext(name); strings.ToLower(ext) {
	case ".csv":
		return strings.TrimSuffix(name, ext) + ".xlsx"
	case ".xlsx":
		return strings.TrimSuffix(name, ext) + ".csv"
	}
	return ""
}

// count takes rows of the table into account.
func (t *tableOf) count(rows []record.TableRow) {
	t.rows += len(rows)
	if t.filled == nil {
		t.filled = make([]int, len(t.table.Columns))
	}
	for i := range rows {
		for k := range rows[i].Cells {
			if !rows[i].Cells[k].Empty() {
				t.filled[k]++
			}
		}
	}
}

// drop takes captures into account that a person left out.
func (t *tableOf) drop(captures []*record.Capture) {
	if len(captures) > 0 && t.dropped == nil {
		t.dropped = make([]int, len(t.table.Columns))
	}
	for _, c := range captures {
		for _, cell := range c.Cells {
			t.dropped[cell.Column]++
		}
	}
}

func (w *walk) instruments() (out []weigh.Instrument) {
	for _, in := range w.survey.Instruments {
		out = append(out, weigh.Instrument(in))
	}
	return out
}
