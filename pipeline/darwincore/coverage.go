package darwincore

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/darwincore/terms"
)

// ranks are the ranks of the classification that coverage is nested by, from
// the top, as Darwin Core names them.
var ranks = []string{"kingdom", "phylum", "class", "order", "family", "genus"}

// Coverage is what a set of occurrences covers in space, time and taxa. The
// zero value covers nothing.
type Coverage struct {
	located                  bool
	west, east, south, north float64
	first, last              string          // days, YYYY-MM-DD
	dates                    map[string]bool // texts that were read
	places                   map[string]bool
	taxa                     map[string]*taxonNode
	protocols                map[string]bool
}

// taxonNode is one taxon of the tree of names.
type taxonNode struct {
	rank, name, common string
	below              map[string]*taxonNode
}

// Add widens the coverage by a row of the core.
func (c *Coverage) Add(row Row) {
	c.addPlace(row)
	c.addDate(row.Get("eventDate"))
	if p := row.Get("samplingProtocol"); p != "" {
		if c.protocols == nil {
			c.protocols = map[string]bool{}
		}
		c.protocols[p] = true
	}
	c.addTaxon(row)
}

// mostDates bounds the texts of dates that are remembered.
const mostDates = 1 << 14

// addDate widens the time. A survey writes the same few days over and over.
func (c *Coverage) addDate(text string) {
	if text == "" || c.dates[text] {
		return
	}
	if c.dates == nil {
		c.dates = map[string]bool{}
	}
	if len(c.dates) < mostDates {
		c.dates[text] = true
	}
	s, err := terms.ParseSpan(text)
	if err != nil {
		return
	}
	if f := s.First(); c.first == "" || f < c.first {
		c.first = f
	}
	if l := s.Last(); l > c.last {
		c.last = l
	}
}

func (c *Coverage) addPlace(row Row) {
	lat, errLat := strconv.ParseFloat(row.Get("decimalLatitude"), 64)
	lon, errLon := strconv.ParseFloat(row.Get("decimalLongitude"), 64)
	if errLat == nil && errLon == nil && lat >= -90 && lat <= 90 && lon >= -180 && lon <= 180 {
		if !c.located {
			c.located, c.west, c.east, c.south, c.north = true, lon, lon, lat, lat
		}
		c.west, c.east = min(c.west, lon), max(c.east, lon)
		c.south, c.north = min(c.south, lat), max(c.north, lat)
	}
	var parts []string
	for _, term := range []string{"stateProvince", "country"} {
		if s := row.Get(term); s != "" {
			parts = append(parts, s)
		}
	}
	if len(parts) > 0 {
		if c.places == nil {
			c.places = map[string]bool{}
		}
		c.places[strings.Join(parts, ", ")] = true
	}
}

// addTaxon hangs the name of a row under its higher ranks.
func (c *Coverage) addTaxon(row Row) {
	if c.taxa == nil {
		c.taxa = map[string]*taxonNode{}
	}
	level := c.taxa
	name := row.Get("scientificName")
	last := ""
	for _, rank := range ranks {
		if s := row.Get(rank); s != "" {
			level = hang(level, rank, s, "").below
			last = s
		}
	}
	if name != "" && name != last {
		hang(level, cmp.Or(row.Get("taxonRank"), "species"), name, row.Get("vernacularName"))
	}
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
	out := make([]*taxonNode, 0, len(level))
	for _, n := range level {
		out = append(out, n)
	}
	slices.SortFunc(out, func(a, b *taxonNode) int {
		return cmp.Or(strings.Compare(a.name, b.name), strings.Compare(a.rank, b.rank))
	})
	return out
}

// LastDay is the last day of the coverage as YYYY-MM-DD, or "".
func (c *Coverage) LastDay() string { return c.last }
