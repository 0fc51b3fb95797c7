package darwincore

import (
	"bufio"
	"errors"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"spadefoot/pipeline/parallel"
	"spadefoot/pipeline/record"
)

// Names of the files of an archive. They are in Folder, and Zip is beside it.
const (
	Folder          = "darwin-core"
	Zip             = "darwin-core.zip"
	OccurrenceFile  = "occurrence.csv"
	MeasurementFile = "measurementorfact.csv"
	MediaFile       = "media.csv"
	MetaFile        = "meta.xml"
	EMLFile         = "eml.xml"
)

// Counts is what an archive holds.
type Counts struct{ Occurrences, Measurements, Media int }

// Archive writes captures as a Darwin Core Archive. It is used by one
// goroutine, and works on all processors. Its memory does not grow with the
// captures: it has a chunk of rows and a few blocks of each file at a time,
// and of what it gathers for the metadata no more than maxDistinct of a kind.
type Archive struct {
	dir          string
	dataset      Dataset
	builder      *RowBuilder
	deflater     *deflater
	core         rowFile // of events; without rows where the core is of occurrences
	events       *events
	occurrences  rowFile
	measurements rowFile
	media        rowFile
	begun        bool
	settled      bool  // the events are
	failed       error // what could not be written
	coverage     Coverage
	usage        usage
	witness      Witness

	buffers sync.Pool // of *[]byte that rows were written in
	mu      sync.Mutex
	writers []*RowWriter // all that there are
	idle    []*RowWriter
}

// Create begins an archive in a folder that exists. Label gives the
// measurementType of a measurement and may be nil. It fails with an
// *IncompleteError where the dataset lacks a required part. Close or Discard
// has to follow.
func Create(dir string, d Dataset, label func(string) string) (*Archive, error) {
	if findings := d.Check(""); len(findings) > 0 {
		return nil, &IncompleteError{findings}
	}
	a := &Archive{
		dir: dir, dataset: d, builder: NewRowBuilder(d, label), deflater: newDeflater(),
		core:         rowFile{name: EventFile, rowType: eventType, terms: slots().All},
		occurrences:  rowFile{name: OccurrenceFile, rowType: occurrenceType, terms: slots().All},
		measurements: rowFile{name: MeasurementFile, rowType: measurementType, terms: factTerms[:]},
		media:        rowFile{name: MediaFile, rowType: mediaType, terms: mediumTerms[:]},
	}
	a.occurrences.fixed = a.builder.fixed
	if d.Core == EventCore {
		a.occurrences.fixed = maps.Clone(a.builder.fixed)
		delete(a.occurrences.fixed, a.builder.at.parent)
		a.events = &events{known: map[string]*happening{}, shapes: map[string]*shape{}, texts: map[string]string{}}
	}
	return a, nil
}

// Expect says which columns the files will have, before the first part: those
// of all captures, as they were gathered before. The files are then written
// once. Where it is not said, the columns of the first part are gathered from
// it. Where the columns are others in the end the files are written once more,
// so that what is expected changes the time and not the outcome.
func (a *Archive) Expect(columns *Columns) {
	if a.begun {
		return
	}
	a.begun = true
	core := columns.core
	core.add(a.builder.at.occurrence)
	a.occurrences.begin(core)
	a.measurements.begin(columns.facts)
	a.media.begin(columns.media)
}

// Witness sees the rows of captures as they go into the files.
type Witness interface {
	// Reader returns a reader for some captures, whose rows of the core have these
	// columns. It may be called by many goroutines.
	Reader(core []string) Reader
	// Take is given the readers whose rows were written, one at a time.
	Take(Reader)
}

// Reader reads the rows of a capture, as CSV: that of the core with the ends of its
// fields, and those of its measurements with their own ends. They are valid during the
// call.
type Reader interface {
	Rows(c *record.Capture, core, facts Cut)
}

// Cut is CSV and where its parts end: fields before what parts them, rows behind it.
type Cut struct {
	Text []byte
	Ends []int
}

// Watch lets a witness see all rows, before the first part.
func (a *Archive) Watch(w Witness) { a.witness = w }

// AddPart takes consecutive captures, on all processors. They are not kept,
// nor are their strings. How the captures are parted does not show in what is
// written.
func (a *Archive) AddPart(captures []*record.Capture) error {
	a.settle()
	if !a.begun && len(captures) > 0 {
		a.Expect(a.learn(captures))
	}
	defer a.rest()
	for a.failed == nil && len(captures) > 0 {
		taken := 0
		err := parallel.InOrder(slices.Values(captures), a.made, func(m *made) error {
			if m.beyond != nil {
				return m.beyond
			}
			taken += m.rows[0]
			return a.take(m)
		})
		var beyond *beyond
		switch {
		case errors.As(err, &beyond):
			a.widen(beyond)
		case err != nil:
			a.failed = err
		}
		captures = captures[taken:]
	}
	return a.failed
}

// settle makes the rows of the events, once all captures are gathered.
func (a *Archive) settle() {
	if a.events != nil && !a.settled {
		a.settled = true
		a.events.settle(a.builder)
	}
}

func (a *Archive) rowFiles() [3]*rowFile {
	return [...]*rowFile{&a.occurrences, &a.measurements, &a.media}
}

// Coverage is what the captures so far cover.
func (a *Archive) Coverage() *Coverage {
	for _, s := range a.writers {
		a.coverage.Join(&s.coverage)
	}
	return &a.coverage
}

// Close finishes the files, or says what could not be written before. An
// extension without rows is left out; an archive without occurrences has a
// header line and no rows.
func (a *Archive) Close() (Counts, error) {
	counts := Counts{a.occurrences.rows, a.measurements.rows, a.media.rows}
	err := a.finish()
	a.end(err == nil)
	return counts, err
}

func (a *Archive) finish() error {
	if a.failed != nil {
		return a.failed
	}
	a.settle()
	a.Expect(&Columns{})
	a.gatherUsed()
	files := a.rowFiles()
	written, link := files[:], "occurrenceID"
	if a.events != nil {
		if err := a.events.write(a); err != nil {
			return err
		}
		written, link = append([]*rowFile{&a.core}, written...), "eventID"
	}
	var zipped []entry
	var parts []part
	for _, l := range written {
		if l.rows == 0 && l != written[0] {
			continue
		}
		if err := l.close(a); err != nil {
			return err
		}
		parts = append(parts, l.part())
		zipped = append(zipped, entry{l.name, l.out})
	}
	coverage := a.Coverage()
	for _, s := range a.writers {
		a.usage.join(&s.usage)
	}
	for _, f := range []file{
		{MetaFile, func(w io.Writer) error { return writeMeta(w, link, parts[0], parts[1:]) }},
		{EMLFile, func(w io.Writer) error { return WriteEML(w, a.dataset, coverage, a.usage.steps(&a.dataset)) }},
	} {
		out, err := newPacking(a.deflater, filepath.Join(a.folder(), f.name), a.dir)
		if err != nil {
			return err
		}
		defer out.drop()
		if err := errors.Join(f.write(out), out.finish()); err != nil {
			return err
		}
		zipped = append(zipped, entry{f.name, out})
	}
	return writeFile(filepath.Join(a.dir, Zip), func(w io.Writer) error { return writeZip(w, zipped) })
}

// gatherUsed learns which columns hold something.
func (a *Archive) gatherUsed() {
	for _, s := range a.writers {
		a.occurrences.used.join(&s.used.core)
		a.measurements.used.join(&s.used.facts)
		a.media.used.join(&s.used.media)
	}
}

func (a *Archive) folder() string { return filepath.Join(a.dir, Folder) }

// Discard drops what was written. It may be called after Close, and does
// nothing then.
func (a *Archive) Discard() { a.end(false) }

// end releases everything, and of the files where they were not finished.
func (a *Archive) end(finished bool) {
	if a.deflater == nil {
		return
	}
	a.core.drop(a, finished)
	for _, l := range a.rowFiles() {
		l.drop(a, finished)
	}
	a.deflater.stop()
	a.deflater = nil
	if !finished {
		os.Remove(a.folder()) // where nothing else is in it
	}
}

type file struct {
	name  string
	write func(io.Writer) error
}

func writeFile(path string, write func(io.Writer) error) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	w := bufio.NewWriterSize(f, 1<<16)
	return errors.Join(write(w), w.Flush(), f.Close())
}
