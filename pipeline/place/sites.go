package place

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/hbollon/go-edlib"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
)

// Site is one row of the survey's table of sites.
type Site struct {
	Name          string `csv:"site"`
	Latitude      string `csv:"latitude"`
	Longitude     string `csv:"longitude"`
	Datum         string `csv:"datum"`
	Uncertainty   string `csv:"uncertainty"` // metres; stands for the computed one where it is given
	Elevation     string `csv:"elevation"`   // metres where no unit is written
	County        string `csv:"county"`
	StateProvince string `csv:"stateProvince"`
	Country       string `csv:"country"`
	CountryCode   string `csv:"countryCode"`
	Aliases       string `csv:"aliases"` // other names, parted by | or ;

	Line             int    `csv:"-"` // of the file, from 1
	Point            Point  `csv:"-"` // read from the cells; not Known if they are empty
	MinimumElevation string `csv:"-"` // metres
	MaximumElevation string `csv:"-"`
}

// Sites is a table of sites that can be looked up by name.
type Sites struct {
	List  []Site
	index map[string]int
}

// ReadSites reads a table of sites: CSV in UTF-8 with a heading line, parted
// by commas or semicolons. Headings may differ in case, spaces and
// punctuation; columns that are not known are passed over. Every mistake is
// reported, each as a CellError with its line and column, joined into one
// error; a table with mistakes gives no sites.
func ReadSites(r io.Reader) (Sites, error) {
	table, err := readTable(r)
	if err != nil {
		return Sites{}, err
	}
	list, err := lines.Decode[Site](table.records)
	if err != nil {
		return Sites{}, fmt.Errorf("table of sites: %w", err)
	}
	sites := Sites{List: list, index: map[string]int{}}
	var mistakes []error
	for i := range sites.List {
		s := &sites.List[i]
		s.Line = table.lines[i+1]
		for _, m := range append(s.read(), sites.enter(i)...) {
			m.Line, m.Column = s.Line, 1+slices.Index(table.records[0], m.Heading)
			mistakes = append(mistakes, m)
		}
	}
	if len(mistakes) > 0 {
		return Sites{}, errors.Join(mistakes...)
	}
	return sites, nil
}

// read fills what is computed from the cells.
func (s *Site) read() []*CellError {
	var out []*CellError
	bad := func(heading, value, reason string) {
		out = append(out, &CellError{Heading: heading, Value: value, Reason: reason})
	}
	if strings.TrimSpace(s.Name) == "" {
		bad("site", "", "the site has no name")
	}
	s.Point = Parse(s.Latitude, s.Longitude, Options{Datum: s.Datum, CountryCode: s.CountryCode})
	for _, p := range s.Point.Problems {
		switch {
		case p.Rule == "datum-unknown":
			bad("datum", s.Datum, p.Reason)
		case p.Level == record.Error:
			bad("latitude", s.Latitude+", "+s.Longitude, p.Reason)
		}
	}
	if u := strings.TrimSuffix(strings.TrimSpace(s.Uncertainty), "m"); u != "" {
		v, err := strconv.ParseFloat(strings.TrimSpace(strings.Replace(u, ",", ".", 1)), 64)
		if err != nil || !(v > 0) || math.IsInf(v, 0) {
			bad("uncertainty", s.Uncertainty, "not a number of metres above 0")
		}
		s.Point.Uncertainty = v
	}
	low, high, problems := ParseElevation(s.Elevation, "m", 0)
	s.MinimumElevation, s.MaximumElevation = low, high
	for _, p := range problems {
		if p.Level != record.Note {
			bad("elevation", s.Elevation, p.Reason)
		}
	}
	return out
}

// Names returns the site's name and its other names.
func (s *Site) Names() []string {
	names := []string{s.Name}
	for _, a := range strings.FieldsFunc(s.Aliases, func(r rune) bool { return r == '|' || r == ';' }) {
		if a = strings.TrimSpace(a); a != "" {
			names = append(names, a)
		}
	}
	return names
}

// enter puts a site's names into the index.
func (t *Sites) enter(i int) []*CellError {
	var out []*CellError
	for n, name := range t.List[i].Names() {
		key := foldName(name)
		if key == "" {
			continue
		}
		if other, ok := t.index[key]; ok && other != i {
			heading := "site"
			if n > 0 {
				heading = "aliases"
			}
			out = append(out, &CellError{Heading: heading, Value: name,
				Reason: fmt.Sprintf("line %d has the same name; give each place only one line", t.List[other].Line)})
			continue
		}
		t.index[key] = i
	}
	return out
}

// Find looks a site up by its name or another of its names; case, spaces,
// accents and punctuation do not matter. A name that is not there gives a
// problem, with the nearest name as suggestion where one is near: no more than
// a quarter of its letters differ.
func (t *Sites) Find(name string) (*Site, []record.Problem) {
	key := foldName(name)
	if key == "" {
		return nil, nil
	}
	if i, ok := t.index[key]; ok {
		return &t.List[i], nil
	}
	best, least, tie := "", math.MaxInt, false
	for i := range t.List {
		for _, n := range t.List[i].Names() {
			other := foldName(n)
			d := edlib.OSADamerauLevenshteinDistance(key, other)
			if d*4 > max(len([]rune(key)), len([]rune(other))) || d > least {
				continue
			}
			tie = d == least && best != t.List[i].Name
			best, least = t.List[i].Name, d
		}
	}
	p := record.Problem{Rule: "site-unknown", Level: record.Warning, Reason: fmt.Sprintf("%q is not in the table of sites", name)}
	if best != "" && !tie {
		p.Suggestion = best
	}
	return nil, []record.Problem{p}
}

// Places returns where the sites are, for NewRegion.
func (t *Sites) Places() []LatLon {
	var out []LatLon
	for _, s := range t.List {
		if s.Point.Known() {
			out = append(out, LatLon{s.Point.Latitude, s.Point.Longitude})
		}
	}
	return out
}
