package pipeline

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	tableschemas "spadefoot/pipeline/darwincore/tables"
	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record/budget"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/taxon"
	"spadefoot/pipeline/weigh"
)

// tables are the files beside the sheets.
type tables struct {
	checklist   *taxon.Checklist
	sites       *place.Sites
	bags        weigh.BagTable
	limits      []screen.Limit
	specimens   []infer.Specimen
	descriptors tableschemas.Descriptors
}

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
			err = fmt.Errorf("%s: the file is not in the survey folder, and survey.yaml names it under tables; put it there, or take the name out", name)
		}
		return &InputError{File: name, Err: err}
	}
	if most := w.survey.Budgets.OrUsual().Rows; bytes.Count(text, []byte{'\n'}) > most {
		return &InputError{File: name, Err: &sheet.Error{File: name, Cause: fmt.Sprintf("the table has more than %d lines", most), Advice: budget.Advice(budget.Rows)}}
	}
	if err := read(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff")))); err != nil {
		err = w.hush(name, err)
		if !strings.HasPrefix(err.Error(), name) {
			err = fmt.Errorf("%s: %w", name, err)
		}
		return &InputError{File: name, Err: err}
	}
	w.inputs.NoteText(name, text)
	return nil
}
