package pipeline

import (
	"archive/zip"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/taxon"
	"spadefoot/pipeline/withhold"
)

// sensitive is what must not be told, and what was done about it.
type sensitive struct {
	file   string // name of the table of sensitive taxa; empty for none
	rules  []withhold.Rule
	result *withhold.Result
}

// sensitiveFile is the table that survey.yaml names, or the usual one if it is
// there: a survey that forgot to name it must not tell every place.
func (w *way) sensitiveFile() string {
	if name := w.survey.Tables.Sensitive; name != "" {
		return name
	}
	if _, err := fs.Stat(w.files, withhold.FileName); err == nil {
		return withhold.FileName
	}
	return ""
}

func (w *way) loadSensitive() error {
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
func (w *way) hush(name string, err error) error {
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
	var cell *place.CellError
	if !errors.As(err, &cell) {
		return err
	}
	return &lines.Error{File: name, Line: cell.Line, Column: cell.Heading,
		Reason: "cannot be used as it stands; the text is not shown, since the survey has sensitive places"}
}

// withhold ends the judgement: from here on no place of a sensitive taxon is
// known to anything that writes.
func (w *way) withhold() error {
	if err := w.endDecisions(); err != nil || len(w.sensitive.rules) == 0 {
		return err
	}
	if err := w.takeAll(w.judged); err != nil {
		return err
	}
	w.derive(0)
	w.derived = true
	if err := w.hide(); err != nil {
		return err
	}
	w.settle()
	return w.putAll()
}

// putAll puts what is in hand in the place of what was judged.
func (w *way) putAll() error {
	v := &w.verdicts
	v.columns = &report.Columns{}
	for _, c := range w.captures {
		v.columns.Add(c)
	}
	v.quality.columns = v.quality.columnsOf(w.captures)
	w.repeated.told, w.whole = nil, nil
	w.aside.Clear()
	w.judged.Clear()
	w.runs[0] = nil
	return errors.Join(w.aside.Add(nil), w.put(0, w.findings))
}

func (w *way) hide() error {
	tables := make([]*record.Table, len(w.laid))
	for i, t := range w.laid {
		tables[i] = t.table
	}
	key, session := w.naming()
	result, err := withhold.Hide(w.captures, tables, w.findings, withhold.Settings{
		File: w.sensitive.file, Rules: w.sensitive.rules, Lookup: w.lookup(), Sites: w.tables.sites, Key: key, Session: session,
	})
	var name *withhold.NameError
	var wording *lines.Error
	switch {
	case errors.As(err, &name), errors.As(err, &wording):
		return &CallError{err.Error()}
	case err != nil:
		return err
	}
	w.sensitive.result = result
	w.findings, w.settled = result.Findings, len(result.Findings)
	w.find(result.Notes...)
	// None of the identifiers of hidden captures may hang on a place, not even
	// through a hash, since who knows the likely places can try them all.
	w.tellApart()
	return nil
}

// lookup asks the checklist for the groups of a name; nil without one.
func (w *way) lookup() func(string) (withhold.Lineage, bool) {
	if w.tables.checklist == nil {
		return nil
	}
	return func(name string) (withhold.Lineage, bool) {
		m := w.tables.checklist.Match(name)
		return withhold.Lineage{"scientificName": m.ScientificName, "genus": m.Genus, "family": m.Family, "order": m.Order,
			"class": m.Class, "phylum": m.Phylum, "kingdom": m.Kingdom}, m.State == taxon.Matched
	}
}

// naming gives the terms that name a capture, and its session, by its mapping.
func (w *way) naming() (key, session func(*record.Capture) []string) {
	type place struct {
		file, sheet string
		table       int
	}
	keys, sessions := map[place][]string{}, map[place][]string{}
	for _, t := range w.laid {
		p := place{t.table.File, t.table.Sheet, t.table.Index}
		m := w.survey.Sheets[t.ref].Map
		keys[p], sessions[p] = keyTerms(m.Key), m.Session
	}
	at := func(c *record.Capture) place { return place{c.File, c.Sheet, c.Table} }
	return func(c *record.Capture) []string { return keys[at(c)] },
		func(c *record.Capture) []string { return sessions[at(c)] }
}

// guard looks through everything that is about to be released. A place that
// stands with sensitive animals only must be in none of it, however it came
// there: through survey.yaml, the name of a file, or a fault of this program.
func (w *way) guard() error {
	r := w.sensitive.result
	if r == nil || r.Guard == nil {
		return nil
	}
	return filepath.WalkDir(w.out, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, err := filepath.Rel(w.out, path)
		if err != nil {
			return err
		}
		if filepath.Ext(path) == ".zip" {
			return w.guardZip(path, name)
		}
		f, err := os.Open(path)
		if err != nil {
			return &OutputError{Path: name, Err: err}
		}
		defer f.Close()
		return w.guardFile(name, f)
	})
}

func (w *way) guardZip(path, name string) error {
	z, err := zip.OpenReader(path)
	if err != nil {
		return &OutputError{Path: name, Err: err}
	}
	defer z.Close()
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			return &OutputError{Path: name, Err: err}
		}
		err = w.guardFile(name+"/"+f.Name, r)
		if err := errors.Join(err, r.Close()); err != nil {
			return err
		}
	}
	return nil
}

func (w *way) guardFile(name string, r io.Reader) error {
	told, err := w.sensitive.result.Guard.Scan(name, r)
	if err != nil {
		return &OutputError{Path: name, Err: err}
	}
	if len(told) == 0 {
		return nil
	}
	keys := make([]string, 0, len(told))
	for _, c := range told {
		keys = append(keys, c.Key)
	}
	return &CallError{fmt.Sprintf("%s would tell the exact place of sensitive captures (%s), and nothing was released; "+
		"look for the place in survey.yaml, in the headings and in the names of files and tabs", filepath.ToSlash(name), strings.Join(keys, ", "))}
}
