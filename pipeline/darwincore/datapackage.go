package darwincore

import (
	"crypto/sha256"
	"fmt"
	"io"
	"iter"
	"os"
	"path/filepath"
	"slices"
	"strings"

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
	places   places
	sessions map[string]*sessionEvent
	survey   agreement
	first    Row // of the core, by name
	coverage Coverage
	usage    usage
	builder  *RowBuilder

	agreed agreed // what all captures have in common
	tables map[string]*tableRows
	row    Row // that is put together
	agents agents
	seen   map[[16]byte]struct{} // hashes of the keys of rows that may come up again
	counts map[string]int
	failed error // what could not be written first

	ofAll, ofEvent []uint64 // digests of the row that is added
}

// CreatePackage begins a package in a folder that exists, with the arguments
// of Create.
func CreatePackage(dir string, d Dataset, label func(string) string) (*Package, error) {
	if findings := d.Check(""); len(findings) > 0 {
		return nil, &IncompleteError{findings}
	}
	p := &Package{dir: dir, dataset: d, label: label, builder: NewRowBuilder(d, label), places: places{byTerm: map[string]*place{}},
		sessions: map[string]*sessionEvent{}, tables: map[string]*tableRows{}, seen: map[[16]byte]struct{}{}}
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
	p.learn(row)
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

// learn learns what a row has in common with the others, of its session and of all.
func (p *Package) learn(row Row) {
	event := clean(row.Get("eventID")) // as it will be read back
	of := p.sessions[event]
	if of == nil {
		of = &sessionEvent{}
		p.sessions[strings.Clone(event)] = of
	}
	if !p.survey.begun {
		for _, f := range row {
			p.first = append(p.first, Field{f.Term, strings.Clone(f.Text)})
		}
		sorting.Func(p.first, func(a, b Field) int { return strings.Compare(a.Term, b.Term) })
	}
	clear(p.ofAll)
	clear(p.ofEvent)
	for _, f := range row {
		at := p.places.of(f.Term)
		text := digestOf(f.Text)
		p.ofAll = put(p.ofAll, at.number, text)
		if at.eventNumber >= 0 {
			p.ofEvent = put(p.ofEvent, at.eventNumber, text)
		}
	}
	p.survey.see(p.ofAll)
	of.see(p.ofEvent)
}

// conclude works out what the captures have in common when all of them are seen.
// Few combinations of terms come up; each is kept once.
func (p *Package) conclude() {
	p.agreed = p.survey.agreed(func(term string) int { return p.places.known(term).number })
	once := map[string]agreed{}
	for _, s := range p.sessions {
		s.shared = s.agreed(func(term string) int { return p.places.known(term).eventNumber })
		key := fmt.Sprint(s.shared)
		if _, known := once[key]; !known {
			once[key] = s.shared
		}
		s.shared, s.texts = once[key], nil
	}
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

// tableRows are the rows of one table.
type tableRows struct {
	*tables.Table
	*spilledRows
}

// table returns the rows of a table, or nil where they cannot be written.
func (p *Package) table(name string) *tableRows {
	t := p.tables[name]
	if t == nil && p.failed == nil {
		var rows *spilledRows
		if rows, p.failed = newSpilledRows(p.dir); p.failed != nil {
			return nil
		}
		t = &tableRows{tables.Find(name), rows}
		p.tables[name] = t
	}
	return t
}

// put adds a row to a table, unless an earlier one could not be written. Texts that do
// not fit their field are given back.
func (p *Package) put(table string, fields ...Field) (misfits []Field) {
	t := p.table(table)
	if p.failed != nil {
		return nil
	}
	row := p.row[:0]
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
	p.row = row
	p.failed = t.add(row)
	return misfits
}

// once reports whether a row of a table with this key has not come up yet.
func (p *Package) once(table, key string) bool {
	if key == "" {
		return false
	}
	k := keyOf(table, key)
	if _, seen := p.seen[k]; seen {
		return false
	}
	p.seen[k] = struct{}{}
	return true
}

// keyOf is the hash of the key of a row.
func keyOf(table, key string) [16]byte {
	var buf [128]byte
	sum := sha256.Sum256(append(append(append(buf[:0], table...), '\x1f'), key...))
	return [16]byte(sum[:16])
}
