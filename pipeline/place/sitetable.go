package place

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"

	"spadefoot/pipeline/record/lines"
)

// CellError is a mistake in a table, with its place in the file.
type CellError struct {
	Line, Column int    // from 1; Column 0 means the line
	Heading      string // "" if it is not about one column
	Value        string
	Reason       string
	cause        error
}

// Unwrap returns what encoding/csv said, if the mistake is one of its.
func (e *CellError) Unwrap() error { return e.cause }

func (e *CellError) Error() string {
	s := fmt.Sprintf("line %d", e.Line)
	switch {
	case e.Heading != "":
		s += ", column " + e.Heading
	case e.Column > 0:
		s += fmt.Sprintf(", column %d", e.Column)
	}
	if e.Value != "" {
		return s + fmt.Sprintf(": found %q; %s", e.Value, e.Reason)
	}
	return s + ": " + e.Reason
}

// siteHeadings are the columns that a table of sites can have.
var siteHeadings = []string{"site", "latitude", "longitude", "datum", "uncertainty", "elevation",
	"county", "stateProvince", "country", "countryCode", "aliases"}

// siteTable holds the records of a table, and where they stood.
type siteTable struct {
	records [][]string
	lines   []int
}

func readTable(r io.Reader) (*siteTable, error) {
	b, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	text := strings.TrimPrefix(string(b), "\ufeff")
	t, err := splitTable(text, false)
	if errors.Is(err, csv.ErrBareQuote) { // 45°12'30"N without quotes around it
		t, err = splitTable(text, true)
	}
	if err != nil {
		return nil, err
	}
	if len(t.records) == 0 {
		return nil, &CellError{Line: 1, Reason: "the table is empty; the first line names its columns"}
	}
	return t, t.nameColumns()
}

// splitTable cuts a table into records. With lazy set, quotes may be within
// cells, and no cell may run over lines: a quote that is never closed would
// swallow the rows below it.
func splitTable(text string, lazy bool) (*siteTable, error) {
	c := csv.NewReader(strings.NewReader(text))
	c.LazyQuotes = lazy
	first, _, _ := strings.Cut(text, "\n")
	if strings.Count(first, ";") > strings.Count(first, ",") {
		c.Comma = ';'
	}
	t := &siteTable{}
	for {
		cells, err := c.Read()
		if err == io.EOF {
			return t, nil
		}
		if pe, ok := errors.AsType[*csv.ParseError](err); ok {
			line, said := lines.Fault(pe)
			return nil, &CellError{Line: line, Reason: said, cause: pe.Err}
		}
		if err != nil {
			return nil, err
		}
		line, _ := c.FieldPos(0)
		for i, cell := range cells {
			if lazy && strings.Contains(cell, "\n") {
				return nil, &CellError{Line: line, Column: i + 1, Reason: "a quotation mark is opened and not closed on the same line; close it or remove it"}
			}
		}
		t.records, t.lines = append(t.records, cells), append(t.lines, line)
	}
}

// nameColumns brings the headings to the names of siteHeadings.
func (t *siteTable) nameColumns() error {
	seen := map[string]int{}
	for i, h := range t.records[0] {
		for _, name := range siteHeadings {
			if foldName(h) != foldName(name) {
				continue
			}
			if other, ok := seen[name]; ok {
				return &CellError{Line: t.lines[0], Column: i + 1, Heading: h, Reason: fmt.Sprintf("column %d has the same heading", other)}
			}
			seen[name] = i + 1
			t.records[0][i] = name
		}
	}
	if seen["site"] == 0 {
		return &CellError{Line: t.lines[0], Reason: "no column is headed site"}
	}
	return nil
}
