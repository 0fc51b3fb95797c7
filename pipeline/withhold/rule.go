package withhold

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"spadefoot/pipeline/record/lines"
)

// FileName is the usual name of the table of sensitive taxa.
const FileName = "sensitive.csv"

// Rule is one row of the table: a taxon and how its places are published.
type Rule struct {
	Line     int
	Taxon    string   // name of a species, genus, family, …
	Grid     float64  // degrees; 0 for no coordinates at all
	Reason   string   // why, as published in informationWithheld
	Locality string   // what is published in place of the locality; the region if empty
	Keep     []string // further terms that reveal no place, as the survey declares
}

// The finest and the coarsest grid, in degrees. Finer than a thousandth
// (about 100 m) hides nothing: common practice.
const (
	finest   = 0.001
	coarsest = 90
)

type line struct {
	Taxon    string `csv:"taxon"`
	Grid     string `csv:"grid"`
	Reason   string `csv:"reason"`
	Locality string `csv:"locality"`
	Keep     string `csv:"keep"`
}

// Read reads the table of sensitive taxa: CSV with the headings taxon, grid,
// reason and, if wanted, locality and keep (terms parted by |). The grid is in
// degrees, or the word none for no coordinates. Term reports whether a name
// is a Darwin Core term. Every mistake is an *lines.Error with its line and
// column, joined into one error.
func Read(in io.Reader, name string, term func(string) bool) ([]Rule, error) {
	rows, err := lines.Read[line](in, name, lines.Columns{Needed: []string{"taxon", "grid", "reason"}, Allowed: []string{"locality", "keep"}})
	if err != nil {
		return nil, err
	}
	var out []Rule
	var wrong []error
	seen := map[string]int{}
	for _, row := range rows {
		r, column, reason := row.Cells.rule(term)
		if other, twice := seen[fold(r.Taxon)]; twice && reason == "" {
			column, reason = "taxon", fmt.Sprintf("%q is already in line %d", r.Taxon, other)
		}
		if reason != "" {
			wrong = append(wrong, &lines.Error{File: name, Line: row.Line, Column: column, Reason: reason})
			continue
		}
		r.Line = row.Line
		seen[fold(r.Taxon)] = row.Line
		out = append(out, r)
	}
	if len(wrong) > 0 {
		return nil, errors.Join(wrong...)
	}
	return out, nil
}

func (l *line) rule(term func(string) bool) (r Rule, column, reason string) {
	r = Rule{Taxon: strings.Join(strings.Fields(l.Taxon), " "), Reason: l.Reason, Locality: l.Locality}
	if r.Taxon == "" {
		return r, "taxon", "is empty; write the name of a species, a genus or a family"
	}
	if l.Reason == "" {
		return r, "reason", "is empty; say why the place is withheld, in words that can be published"
	}
	if fold(l.Grid) != "none" {
		g, err := strconv.ParseFloat(strings.Replace(l.Grid, ",", ".", 1), 64)
		if err != nil || !(g >= finest && g <= coarsest) {
			return r, "grid", fmt.Sprintf("found %q; write the size of the grid in degrees, from %g to %d, or none for no coordinates", l.Grid, finest, coarsest)
		}
		r.Grid = g
	}
	for _, t := range strings.FieldsFunc(l.Keep, func(c rune) bool { return c == '|' || c == ';' }) {
		t = strings.TrimSpace(t)
		switch {
		case t == "":
		case term != nil && !term(t):
			return r, "keep", fmt.Sprintf("found %q, which is not a Darwin Core term", t)
		case placeTerm(t):
			return r, "keep", fmt.Sprintf("found %q, which says where; it cannot be kept", t)
		default:
			r.Keep = append(r.Keep, t)
		}
	}
	return r, "", ""
}

// coarser reports whether r hides more than o.
func (r *Rule) coarser(o *Rule) bool {
	if o == nil || o.Grid == 0 {
		return o == nil
	}
	return r.Grid == 0 || r.Grid > o.Grid
}

func fold(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }
