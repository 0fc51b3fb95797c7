package darwincore

import (
	"bufio"
	"errors"
	"io"
	"iter"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"spadefoot/pipeline/lanes"
	"spadefoot/pipeline/record"
)

// Names of the files of an archive. They stand in Folder; Zip stands beside it.
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

// Archive collects captures and writes them as a Darwin Core Archive. It is
// used by one goroutine.
type Archive struct {
	dir          string
	dataset      Dataset
	label        func(string) string
	maker        *Maker
	occurrences  *spool
	measurements *spool
	media        *spool
	coverage     Coverage
	usage        usage
	room         sync.Pool // of []byte that encoded rows were written from
}

// Create begins an archive in a folder that exists. Label gives the
// measurementType of a measurement and may be nil. It fails with an
// *IncompleteError where the dataset lacks a required part.
func Create(dir string, d Dataset, label func(string) string) (*Archive, error) {
	if findings := d.Check(""); len(findings) > 0 {
		return nil, &IncompleteError{findings}
	}
	a := &Archive{dir: dir, dataset: d, label: label, maker: NewMaker(d, label)}
	for _, s := range []**spool{&a.occurrences, &a.measurements, &a.media} {
		var err error
		if *s, err = newSpool(dir); err != nil {
			a.Discard()
			return nil, err
		}
	}
	return a, nil
}

// Add takes one capture. The capture is not kept.
func (a *Archive) Add(c *record.Capture) error { return a.take(a.made([]*record.Capture{c})) }

// AddPart takes captures, on all processors.
func (a *Archive) AddPart(captures []*record.Capture) error {
	return lanes.InOrder(slices.Values(captures), a.made, a.take)
}

// made is what captures come to, before it is known which columns are needed.
type made struct {
	captures []*record.Capture
	core     []Row
	rows     [3]encoded
}

// encoded are rows as a spool has them.
type encoded struct {
	text []byte
	rows int
}

func (e *encoded) add(s *spool, row Row) {
	e.text = s.encode(e.text, row)
	e.rows++
}

// made makes the rows of captures. It may be called by many goroutines.
func (a *Archive) made(captures []*record.Capture) made {
	out := made{captures: captures, core: make([]Row, 0, len(captures))}
	for i := range out.rows {
		if room, ok := a.room.Get().(*[]byte); ok {
			out.rows[i].text = (*room)[:0]
		}
	}
	for _, c := range captures {
		row := a.maker.Occurrence(c)
		out.core = append(out.core, row)
		out.rows[0].add(a.occurrences, row)
		for _, m := range a.maker.Measurements(c) {
			out.rows[1].add(a.measurements, m)
		}
		for _, m := range Media(a.dataset.ID, row.Get("associatedMedia")) {
			out.rows[2].add(a.media, m.row(row.Get("occurrenceID"), a.dataset.Language))
		}
	}
	return out
}

// take adds what was made.
func (a *Archive) take(m made) error {
	for i, c := range m.captures {
		a.coverage.Add(m.core[i])
		a.usage.add(c, a.label)
	}
	for i, s := range []*spool{a.occurrences, a.measurements, a.media} {
		if err := s.write(m.rows[i].text, m.rows[i].rows); err != nil {
			return err
		}
		a.room.Put(&m.rows[i].text)
	}
	return nil
}

// Coverage is what the captures so far cover.
func (a *Archive) Coverage() *Coverage { return &a.coverage }

// Close writes the files. An extension without rows is left out; an archive
// without occurrences has a header line and no rows.
func (a *Archive) Close() (Counts, error) {
	defer a.Discard()
	counts := Counts{a.occurrences.rows, a.measurements.rows, a.media.rows}
	folder := filepath.Join(a.dir, Folder)
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return counts, err
	}
	core := part{OccurrenceFile, occurrenceType, a.occurrences.header()}
	if len(core.columns) == 0 {
		core.columns = []string{"occurrenceID"}
	}
	files := []file{a.data(core, a.occurrences)}
	var extensions []part
	for _, e := range []struct {
		part
		rows *spool
	}{{part{MeasurementFile, measurementType, a.measurements.header()}, a.measurements}, {part{MediaFile, mediaType, a.media.header()}, a.media}} {
		if e.rows.rows > 0 {
			extensions = append(extensions, e.part)
			files = append(files, a.data(e.part, e.rows))
		}
	}
	files = append(files,
		file{MetaFile, func(w io.Writer) error { return writeMeta(w, core, extensions) }},
		file{EMLFile, func(w io.Writer) error { return WriteEML(w, a.dataset, &a.coverage, a.usage.steps(&a.dataset)) }})
	var names []string
	for _, f := range files {
		if err := writeFile(filepath.Join(folder, f.name), f.write); err != nil {
			return counts, err
		}
		names = append(names, f.name)
	}
	return counts, writeFile(filepath.Join(a.dir, Zip), func(w io.Writer) error { return writeZip(w, folder, names) })
}

func (a *Archive) data(p part, rows *spool) file {
	return file{p.name, func(w io.Writer) error { return rows.writeCSV(w, p.columns) }}
}

// Discard drops what was collected. It may be called after Close.
func (a *Archive) Discard() {
	a.occurrences.close()
	a.measurements.close()
	a.media.close()
}

// WriteArchive writes the archive of a sequence of captures, on all processors;
// its bytes do not depend on their number.
func WriteArchive(dir string, d Dataset, label func(string) string, captures iter.Seq[*record.Capture]) (Counts, error) {
	a, err := Create(dir, d, label)
	if err != nil {
		return Counts{}, err
	}
	defer a.Discard()
	if err := lanes.InOrder(captures, a.made, a.take); err != nil {
		return Counts{}, err
	}
	return a.Close()
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
