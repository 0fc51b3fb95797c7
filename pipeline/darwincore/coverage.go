package darwincore

import (
	"cmp"
	"maps"
	"strconv"
	"strings"
	"time"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/record/sorting"
)

// ranks are the ranks of the classification that coverage is nested by, from
// the top, as Darwin Core names them.
var ranks = coveredTerms[:coveredName]

// Coverage is what a set of occurrences covers in space, time and taxa. The
// zero value covers nothing. Of names that are all different it keeps those
// that come first in the order of the alphabet, so that it does not depend on
// the order of the rows.
type Coverage struct {
	located                  bool
	west, east, south, north float64
	first, last              string          // days, YYYY-MM-DD
	dates                    map[string]bool // texts that were read
	places                   distinct
	taxa                     distinct // of names under their higher ranks
	protocols                distinct
}

// taxonNode is one taxon of the tree of names.
type taxonNode struct {
	rank, name, common string
	below              map[string]*taxonNode
}

// coveredTerms are those that widen a coverage: the ranks, then the others.
var coveredTerms = [...]string{"kingdom", "phylum", "class", "order", "family", "genus", "scientificName", "taxonRank", "vernacularName",
	"decimalLatitude", "decimalLongitude", "stateProvince", "country", "eventDate", "samplingProtocol"}

// Places among coveredTerms, behind the ranks.
const (
	coveredName = iota + 6
	coveredRank
	coveredVernacular
	coveredLatitude
	coveredLongitude
	coveredProvince
	coveredCountry
	coveredDate
	coveredProtocol
)

// covering are the texts of coveredTerms in a row of the core.
type covering [len(coveredTerms)]string

// add widens the coverage by a row of the core. A date that is called wrong
// widens nothing.
func (c *Coverage) add(row *covering, wrongDate bool) {
	c.addPosition(row[coveredLatitude], row[coveredLongitude])
	c.addPlace(row[coveredProvince], row[coveredCountry])
	if !wrongDate {
		c.addDate(row[coveredDate])
	}
	if p := row[coveredProtocol]; p != "" {
		var buf [128]byte
		c.protocols.add(append(buf[:0], p...))
	}
	c.addTaxon(row)
}

// cover widens the coverage by the line that was made last.
func (s *RowWriter) cover() {
	var row covering
	for i, slot := range s.builder.covered {
		row[i] = s.line.text(slot)
	}
	date := s.found[foundDate]
	s.coverage.add(&row, date != nil && date.Wrong)
}

// maxDates bounds the texts of dates that are remembered.
const maxDates = 1 << 14

// addDate widens the time. A survey writes the same few days over and over.
func (c *Coverage) addDate(text string) {
	if text == "" || c.within(text) || c.dates[text] {
		return
	}
	if c.dates == nil {
		c.dates = map[string]bool{}
	}
	if len(c.dates) < maxDates {
		c.dates[strings.Clone(text)] = true
	}
	s, err := terms.ParseSpan(text)
	if err != nil {
		return
	}
	c.addSpan(s.First(), s.Last())
}

// within reports whether a text has the form of a day, and none that would widen
// the time.
func (c *Coverage) within(text string) bool {
	return len(text) == len(time.DateOnly) && text[4] == '-' && text[7] == '-' && c.first != "" && c.first <= text && text <= c.last
}

func (c *Coverage) addSpan(first, last string) {
	if first != "" && (c.first == "" || first < c.first) {
		c.first = first
	}
	if last > c.last {
		c.last = last
	}
}

// span is the time that is covered as a date or an interval, or "".
func (c *Coverage) span() string {
	if c.first == c.last {
		return c.first
	}
	return c.first + "/" + c.last
}

func (c *Coverage) addPosition(latitude, longitude string) {
	if latitude == "" || longitude == "" {
		return
	}
	lat, errLat := strconv.ParseFloat(latitude, 64)
	lon, errLon := strconv.ParseFloat(longitude, 64)
	if errLat == nil && errLon == nil && lat >= -90 && lat <= 90 && lon >= -180 && lon <= 180 {
		c.widen(lon, lon, lat, lat)
	}
}

func (c *Coverage) widen(west, east, south, north float64) {
	if !c.located {
		c.located, c.west, c.east, c.south, c.north = true, west, east, south, north
	}
	c.west, c.east = min(c.west, west), max(c.east, east)
	c.south, c.north = min(c.south, south), max(c.north, north)
}

func (c *Coverage) addPlace(names ...string) {
	var buf [128]byte
	key := buf[:0]
	for _, s := range names {
		if s == "" {
			continue
		}
		if len(key) > 0 {
			key = append(key, ", "...)
		}
		key = append(key, s...)
	}
	if len(key) > 0 {
		c.places.add(key)
	}
}

// addTaxon hangs the name of a row under its higher ranks.
func (c *Coverage) addTaxon(row *covering) {
	var buf [256]byte
	key, last := buf[:0], ""
	for _, s := range row[:len(ranks)] {
		key = appendPart(key, s)
		last = cmp.Or(s, last)
	}
	if name := row[coveredName]; name != "" && name != last {
		for _, s := range row[coveredName : coveredVernacular+1] {
			key = appendPart(key, s)
		}
	} else if last == "" {
		return
	}
	c.taxa.add(key)
}

// Join adds what another covers.
func (c *Coverage) Join(o *Coverage) {
	if o.located {
		c.widen(o.west, o.east, o.south, o.north)
	}
	c.addSpan(o.first, o.last)
	c.places.join(&o.places)
	c.taxa.join(&o.taxa)
	c.protocols.join(&o.protocols)
}

// tree is the names under their higher ranks.
func (c *Coverage) tree() map[string]*taxonNode {
	top := map[string]*taxonNode{}
	for _, key := range c.taxa.sorted() {
		level, names := top, parts(key)
		for i, rank := range ranks {
			if names[i] != "" {
				level = hang(level, rank, names[i], "").below
			}
		}
		if own := names[len(ranks):]; len(own) > 0 {
			hang(level, cmp.Or(own[1], "species"), own[0], own[2])
		}
	}
	return top
}

func hang(level map[string]*taxonNode, rank, name, common string) *taxonNode {
	key := rank + "\x1f" + name
	n := level[key]
	if n == nil {
		n = &taxonNode{rank: rank, name: name, common: common, below: map[string]*taxonNode{}}
		level[key] = n
	}
	if n.common == "" || common != "" && common < n.common {
		n.common = common
	}
	return n
}

func sortedTaxa(level map[string]*taxonNode) []*taxonNode {
	return sorting.SortedFunc(maps.Values(level), func(a, b *taxonNode) int {
		return cmp.Or(strings.Compare(a.name, b.name), strings.Compare(a.rank, b.rank))
	})
}

// LastDay is the last day of the coverage as YYYY-MM-DD, or "".
func (c *Coverage) LastDay() string { return c.last }
