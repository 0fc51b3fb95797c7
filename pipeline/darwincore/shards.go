//go:build !onemachine

package darwincore

import (
	"bytes"
	"encoding/gob"
	"errors"
	"fmt"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// Gathered is what the description of an archive needs to know of its rows.
// Those of shards join, in any order. The zero value is of no rows.
type Gathered struct {
	columns  Columns
	coverage Coverage
	usage    usage
}

// Join adds what was gathered of other rows.
func (g *Gathered) Join(o *Gathered) {
	g.columns.Join(&o.columns)
	g.coverage.Join(&o.coverage)
	g.usage.join(&o.usage)
}

// Gathered is what the rows so far come to.
func (a *Archive) Gathered() *Gathered {
	g := &Gathered{columns: Columns{a.occurrences.known, a.measurements.known, a.media.known}}
	g.coverage.Join(a.Coverage())
	for _, s := range a.writers {
		g.usage.join(&s.usage)
	}
	return g
}

// Fix says which columns the files will have, before the first part, as Expect
// does, and keeps them: the files of all shards of an archive have the same
// columns, though some of them hold nothing in one of the shards.
func (a *Archive) Fix(g *Gathered) {
	columns := g.columns
	a.Expect(&columns)
	for _, l := range a.rowFiles() {
		l.keeps = true
	}
}

// ShardName is what a file of an archive is called where it holds one shard of
// so many: occurrence-00002-of-00007.csv.gz.
func ShardName(file string, shard, of int) string {
	return fmt.Sprintf("%s-%05d-of-%05d.csv.gz", strings.TrimSuffix(file, ".csv"), shard, of)
}

// ShardFiles are the names of the files of each kind, in the order of the
// shards; kinds without files are left out of the archive.
type ShardFiles struct{ Occurrences, Measurements, Media []string }

// Describe writes meta.xml and eml.xml of an archive in shards into a folder.
func Describe(dir string, d Dataset, g *Gathered, files ShardFiles) error {
	b := NewRowBuilder(d, nil)
	core := g.columns.core
	core.add(b.at.occurrence)
	parts := make([]part, 0, 3)
	for _, l := range []struct {
		file  rowFile
		names []string
	}{
		{rowFile{rowType: occurrenceType, terms: slots().All, fixed: b.fixed, columns: core.numbers()}, files.Occurrences},
		{rowFile{rowType: measurementType, terms: factTerms[:], columns: g.columns.facts.numbers()}, files.Measurements},
		{rowFile{rowType: mediaType, terms: mediumTerms[:], columns: g.columns.media.numbers()}, files.Media},
	} {
		if len(l.names) > 0 {
			p := l.file.part()
			p.names = l.names
			parts = append(parts, p)
		}
	}
	if len(files.Occurrences) == 0 {
		return errors.New("an archive needs a file of occurrences")
	}
	return errors.Join(
		writeFile(filepath.Join(dir, MetaFile), func(w io.Writer) error { return writeMeta(w, "occurrenceID", parts[0], parts[1:]) }),
		writeFile(filepath.Join(dir, EMLFile), func(w io.Writer) error { return WriteEML(w, d, &g.coverage, g.usage.steps(&d)) }))
}

// sent is what Gathered is sent to other machines as.
type sent struct {
	Core, Facts, Media          marks
	Located                     bool
	Bounds                      [4]float64 // west, east, south, north
	First, Last                 string
	Places, Taxa, Methods, With distinctSent
	Ways                        []string
	Accurate                    bool
}

// distinctSent are distinct texts, in order.
type distinctSent struct {
	Texts []string
	Bound string
}

func (d *distinct) sent() distinctSent {
	return distinctSent{slices.Sorted(maps.Keys(d.known)), d.bound}
}

func (s distinctSent) distinct() (d distinct) {
	for _, text := range s.Texts {
		d.insert(text)
	}
	d.bound = s.Bound
	return d
}

// MarshalBinary writes it for another machine; the bytes do not depend on the
// order in which it was joined.
func (g *Gathered) MarshalBinary() ([]byte, error) {
	c, u := &g.coverage, &g.usage
	s := sent{Core: g.columns.core, Facts: g.columns.facts, Media: g.columns.media,
		Located: c.located, Bounds: [4]float64{c.west, c.east, c.south, c.north}, First: c.first, Last: c.last,
		Places: c.places.sent(), Taxa: c.taxa.sent(), Methods: c.protocols.sent(), With: u.with.sent(), Accurate: u.accurate}
	for way := range u.ways {
		s.Ways = append(s.Ways, string(way))
	}
	slices.Sort(s.Ways)
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(s)
	return b.Bytes(), err
}

// UnmarshalBinary reads what MarshalBinary wrote.
func (g *Gathered) UnmarshalBinary(b []byte) error {
	var s sent
	if err := gob.NewDecoder(bytes.NewReader(b)).Decode(&s); err != nil {
		return fmt.Errorf("what was gathered of a shard: %w", err)
	}
	*g = Gathered{columns: Columns{s.Core, s.Facts, s.Media},
		coverage: Coverage{located: s.Located, west: s.Bounds[0], east: s.Bounds[1], south: s.Bounds[2], north: s.Bounds[3],
			first: s.First, last: s.Last, places: s.Places.distinct(), taxa: s.Taxa.distinct(), protocols: s.Methods.distinct()},
		usage: usage{with: s.With.distinct(), accurate: s.Accurate}}
	for _, way := range s.Ways {
		g.usage.way(way)
	}
	return nil
}

// Needs gathers the columns that captures need.
func (m *RowBuilder) Needs(g *Gathered, captures []*record.Capture) {
	writer := m.RowWriter()
	for _, c := range captures {
		writer.Occurrence(c)
		writer.Note(&g.columns, c)
	}
}
