package darwincore

import (
	"io"
	"iter"
	"os"
	"path/filepath"
	"slices"

	"spadefoot/pipeline/darwincore/tables"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// PackageFolder is the folder of the Darwin Core Data Package, and
// DescriptorFile the file that describes it.
const (
	PackageFolder  = "data-package"
	DescriptorFile = "datapackage.json"
)

// Package collects captures and writes them as a Darwin Core Data Package
// (guide of 2026-05-26). It goes over the captures twice: Add learns what the
// captures of a session have in common and spills them, Close makes the tables.
//
// The survey is an event, each session an event within it. What all captures
// of a session agree on is said of the session; a capture that has more to say
// of time or place becomes an event within the session. Terms that no table
// has a field for become assertions, about the survey where all captures
// agree, else about the occurrence, so that nothing is lost. It is used by one
// goroutine.
type Package struct {
	dir      string
	dataset  Dataset
	label    func(string) string
	rows     *spilledRows // rows of the core
	facts    *spilledRows // rows of the measurements
	sessions map[string]*common
	survey   common
	coverage Coverage
	usage    usage
	builder  *RowBuilder

	tables map[string]*spilledRows
	agents agents
	seen   map[string]bool // keys of rows that may come up again
	counts map[string]int
	failed error // what could not be written first
}

// CreatePackage begins a package in a folder that exists, with the arguments
// of Create.
func CreatePackage(dir string, d Dataset, label func(string) string) (*Package, error) {
	if findings := d.Check(""); len(findings) > 0 {
		return nil, &IncompleteError{findings}
	}
	p := &Package{dir: dir, dataset: d, label: label, builder: NewRowBuilder(d, label), sessions: map[string]*common{}, tables: map[string]*spilledRows{}, seen: map[string]bool{}}
	p.agents.learn(&d)
	var err error
	if p.rows, err = newSpilledRows(dir); err != nil {
		return nil, err
	}
	if p.facts, err = newSpilledRows(dir); err != nil {
		p.Discard()
		return nil, err
	}
	return p, nil
}

// Add takes one capture. The capture is not kept.
func (p *Package) Add(c *record.Capture) error {
	row := p.builder.Occurrence(c)
	row = row.fill("eventID", placeAndDay(&p.dataset, row)).fill("parentEventID", EventID(p.dataset.ID, ""))
	event := clean(row.Get("eventID")) // as it will be read back
	session := p.sessions[event]
	if session == nil {
		session = &common{}
		p.sessions[event] = session
	}
	session.see(row)
	p.survey.see(row)
	var covered covering
	for i, term := range coveredTerms {
		covered[i] = row.Get(term)
	}
	p.coverage.add(&covered, c.DateWrong())
	p.usage.add(c, p.label)
	if err := p.rows.add(row); err != nil {
		return err
	}
	for _, m := range p.builder.Measurements(c) {
		if err := p.facts.add(m); err != nil {
			return err
		}
	}
	return nil
}

// placeAndDay identifies the session of captures that have none: the same day
// at the same place.
func placeAndDay(d *Dataset, row interface{ Get(term string) string }) string {
	key := ""
	for _, term := range []string{"eventDate", "locationID", "locality", "decimalLatitude", "decimalLongitude"} {
		key += "\x1f" + row.Get(term)
	}
	return EventID(d.ID, key)
}

// Close writes the tables and the descriptor, and returns the number of rows of
// each table.
func (p *Package) Close() (map[string]int, error) {
	defer p.Discard()
	folder := filepath.Join(p.dir, PackageFolder)
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return nil, err
	}
	if err := p.fill(); err != nil {
		return nil, err
	}
	p.counts = map[string]int{}
	var resources []resource
	for _, t := range tables.All() {
		s := p.tables[t.Name]
		if s == nil {
			continue
		}
		columns := slices.Clone(s.columns)
		sorting.Func(columns, func(a, b string) int { return t.Place(a) - t.Place(b) })
		name := t.Name + ".csv"
		if err := writeFile(filepath.Join(folder, name), func(w io.Writer) error { return s.writeCSV(w, columns) }); err != nil {
			return nil, err
		}
		p.counts[t.Name] = s.rows
		resources = append(resources, p.describe(t, name, columns))
	}
	if err := writeFile(filepath.Join(folder, DescriptorFile), func(w io.Writer) error { return p.writeDescriptor(w, resources) }); err != nil {
		return nil, err
	}
	return p.counts, writeFile(filepath.Join(folder, EMLFile), func(w io.Writer) error {
		return WriteEML(w, p.dataset, &p.coverage, p.usage.steps(&p.dataset))
	})
}

// Discard drops what was collected. It may be called after Close.
func (p *Package) Discard() {
	p.rows.close()
	p.facts.close()
	for _, s := range p.tables {
		s.close()
	}
}

// WritePackage writes the package of a sequence of captures.
func WritePackage(dir string, d Dataset, label func(string) string, captures iter.Seq[*record.Capture]) (map[string]int, error) {
	p, err := CreatePackage(dir, d, label)
	if err != nil {
		return nil, err
	}
	defer p.Discard()
	for c := range captures {
		if err := p.Add(c); err != nil {
			return nil, err
		}
	}
	return p.Close()
}

// put adds a row to a table, unless an earlier one could not be written. Texts that do
// not fit their field are given back.
func (p *Package) put(table string, fields ...Field) (misfits []Field) {
	if p.failed != nil {
		return nil
	}
	t := tables.Find(table)
	s := p.tables[table]
	if s == nil {
		if s, p.failed = newSpilledRows(p.dir); p.failed != nil {
			return nil
		}
		p.tables[table] = s
	}
	var row Row
	for _, f := range fields {
		if f.Text == "" {
			continue
		}
		if d := t.Field(f.Term); d == nil || d.Misfit(f.Text) != "" {
			misfits = append(misfits, f)
			continue
		}
		row = row.set(f.Term, f.Text)
	}
	p.failed = s.add(row)
	return misfits
}

// once reports whether a row of a table with this key has not come up yet.
func (p *Package) once(table, key string) bool {
	k := table + "\x1f" + key
	if key == "" || p.seen[k] {
		return false
	}
	p.seen[k] = true
	return true
}
