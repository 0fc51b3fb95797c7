package quality

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// Sources are the lists that a user supplies for tests whose authority is not
// embedded. A test without its list answers EXTERNAL_PREREQUISITES_NOT_MET
// where it has something to ask, and for what is empty as with a list.
type Sources struct {
	Taxa      map[string]*Taxa // by name of the authority; "" stands for the default of each test
	Marine    *Marine
	Divisions *Divisions
	Centroids *Centroids
}

// listOf is the kind of list that a test needs.
type listOf uint8

const (
	noList listOf = iota
	taxaList
	marineList
	divisionList
	centroidList
)

// needed are the tests that an embedded source does not answer.
var needed = map[string]listOf{
	"AMENDMENT_SCIENTIFICNAMEID_FROM_TAXON":              taxaList,
	"AMENDMENT_SCIENTIFICNAME_FROM_SCIENTIFICNAMEID":     taxaList,
	"VALIDATION_CLASSIFICATION_CONSISTENT":               taxaList,
	"VALIDATION_CLASS_FOUND":                             taxaList,
	"VALIDATION_FAMILY_FOUND":                            taxaList,
	"VALIDATION_GENUS_FOUND":                             taxaList,
	"VALIDATION_ORDER_FOUND":                             taxaList,
	"VALIDATION_PHYLUM_FOUND":                            taxaList,
	"VALIDATION_SCIENTIFICNAME_FOUND":                    taxaList,
	"VALIDATION_TAXON_UNAMBIGUOUS":                       taxaList,
	"VALIDATION_COORDINATESTERRESTRIALMARINE_CONSISTENT": marineList,
	"VALIDATION_COORDINATESSTATEPROVINCE_CONSISTENT":     divisionList,
	"ISSUE_COORDINATES_CENTEROFCOUNTRY":                  centroidList,
}

// named returns the name of the list that answers by default.
func (s *Sources) named(l listOf) string {
	switch {
	case l == taxaList && s.Taxa[""] != nil:
		return s.Taxa[""].Name
	case l == marineList && s.Marine != nil:
		return s.Marine.Name
	case l == divisionList && s.Divisions != nil:
		return s.Divisions.Name
	case l == centroidList && s.Centroids != nil:
		return s.Centroids.Name
	}
	return ""
}

// without is the answer where no list was supplied.
func without(option, what string) Response {
	return external("%s is not available; a file can be supplied with %s", what, option)
}

// readTable reads a table with a heading line, cut at commas, semicolons or
// tabs, whichever the heading line has most of.
func readTable(r io.Reader, use func(line int, row Record) error) error {
	in := bufio.NewReader(r)
	head, err := in.Peek(4096)
	if len(head) == 0 {
		if err == io.EOF {
			err = errors.New("the file is empty")
		}
		return err
	}
	first, _, _ := strings.Cut(string(head), "\n")
	separators := []rune{',', '\t', ';', '|'}
	table := csv.NewReader(in)
	table.Comma = slices.MaxFunc(separators, func(a, b rune) int {
		return strings.Count(first, string(a)) - strings.Count(first, string(b))
	})
	table.FieldsPerRecord = -1
	table.LazyQuotes = table.Comma == '\t'
	heading, err := table.Read()
	if err != nil {
		return err
	}
	row := Columns(heading)
	for {
		cells, err := table.Read()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		line, _ := table.FieldPos(0)
		if err := use(line, row(cells)); err != nil {
			return fmt.Errorf("line %d: %w", line, err)
		}
	}
}

// first returns the first of some terms that holds a value.
func (r Record) first(terms ...string) string {
	for _, term := range terms {
		if r.has(term) {
			return strings.TrimSpace(r(term))
		}
	}
	return ""
}
