package taxon

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
)

// Entry is one row of a checklist: an accepted name, or a synonym if
// AcceptedName names another. Vernacular and Code hold several words with a bar
// between them.
type Entry struct {
	Name         string `csv:"scientificName"`
	Authorship   string `csv:"scientificNameAuthorship"`
	Rank         string `csv:"taxonRank"`
	AcceptedName string `csv:"acceptedNameUsage"`
	Vernacular   string `csv:"vernacularName"`
	Code         string `csv:"code"`
	Groups
	TaxonID string `csv:"taxonID"`

	line     int
	parsed   name
	accepted *Entry // the entry itself for an accepted name
}

// maxMistakes is how many mistakes one error tells at most.
const maxMistakes = 20

// Headings that are taken for a column of the checklist, folded.
var columnNames = map[string]string{
	"scientificname": "scientificName", "species": "scientificName", "name": "scientificName", "taxon": "scientificName",
	"scientificnameauthorship": "scientificNameAuthorship", "authorship": "scientificNameAuthorship", "author": "scientificNameAuthorship",
	"taxonrank": "taxonRank", "rank": "taxonRank",
	"acceptednameusage": "acceptedNameUsage", "acceptedname": "acceptedNameUsage", "accepted": "acceptedNameUsage",
	"vernacularname": "vernacularName", "commonname": "vernacularName", "vernacular": "vernacularName",
	"code": "code", "codes": "code", "speciescode": "code",
	"kingdom": "kingdom", "phylum": "phylum", "class": "class", "order": "order", "family": "family",
	"taxonid": "taxonID",
}

// ReadChecklist reads a checklist in CSV with a heading line; name is its file
// name for the errors. The separator is the comma, semicolon or tab of the
// heading line; lines that start with # are comments. Columns are named as in
// [Entry]; scientificName must be there and other columns are passed over.
//
// The error joins one [*lines.Error] per fault: a name that cannot be read or
// is twice, a synonym of a synonym or of a name that is not there, a code
// for two names.
func ReadChecklist(r io.Reader, name string) (*Checklist, error) {
	rows, at, err := readRows(r, name)
	if err != nil {
		return nil, err
	}
	if len(rows) == 0 {
		return nil, &lines.Error{File: name, Line: 1, Reason: "the file is empty; it needs a heading line with scientificName and a row for each name"}
	}
	columns, err := headingLine(rows[0], name, at[0])
	if err != nil {
		return nil, err
	}
	entries, err := lines.Decode[Entry](rows)
	if err != nil {
		return nil, &lines.Error{File: name, Line: at[0], Reason: err.Error()}
	}
	if len(entries) == 0 {
		return nil, &lines.Error{File: name, Line: at[0], Reason: "there is no name under the headings; write one row for each name"}
	}
	for i := range entries {
		entries[i].line = at[i+1]
	}
	b := builder{file: name, columns: columns}
	c := b.build(entries)
	if len(b.mistakes) > maxMistakes {
		b.mistakes = append(b.mistakes[:maxMistakes], fmt.Errorf("%s: and %d more mistakes", name, len(b.mistakes)-maxMistakes))
	}
	if err := errors.Join(b.mistakes...); err != nil {
		return nil, err
	}
	return c, nil
}

// readRows splits the file into rows of equal length and tells the line that
// each began on. Rows of blank cells are left out.
func readRows(r io.Reader, name string) (rows [][]string, at []int, err error) {
	in := bufio.NewReader(r)
	if mark, _ := in.Peek(3); string(mark) == "\ufeff" {
		in.Discard(3)
	}
	cr := csv.NewReader(in)
	cr.Comma, cr.Comment, cr.FieldsPerRecord, cr.TrimLeadingSpace = separator(in), '#', -1, true
	for {
		row, err := cr.Read()
		if err == io.EOF {
			return rows, at, nil
		}
		if errors.As(err, new(*csv.ParseError)) {
			line, said := lines.Fault(err)
			return nil, nil, &lines.Error{File: name, Line: line, Reason: said}
		}
		if err != nil {
			return nil, nil, fmt.Errorf("%s: %w", name, err)
		}
		for i := range row {
			row[i] = strings.TrimSpace(row[i])
		}
		if strings.Join(row, "") == "" {
			continue
		}
		line, _ := cr.FieldPos(0)
		if len(rows) > 0 && len(row) > len(rows[0]) {
			if extra := row[len(rows[0]):]; strings.Join(extra, "") != "" {
				return nil, nil, &lines.Error{File: name, Line: line, Column: record.ColumnLetters(len(rows[0]) + 1), Reason: fmt.Sprintf("%q is under no heading; put a cell that contains the separator in quotation marks", extra[0])}
			}
			row = row[:len(rows[0])]
		}
		for len(rows) > 0 && len(row) < len(rows[0]) {
			row = append(row, "")
		}
		rows, at = append(rows, row), append(at, line)
	}
}

// separator tells the separator from the first line that is not a comment.
func separator(in *bufio.Reader) rune {
	ahead, _ := in.Peek(in.Size())
	for line := range strings.Lines(string(ahead)) {
		if strings.HasPrefix(line, "#") || strings.TrimSpace(line) == "" {
			continue
		}
		best, most := ',', 0
		for _, c := range []rune{',', ';', '\t'} {
			if n := strings.Count(line, string(c)); n > most {
				best, most = c, n
			}
		}
		return best
	}
	return ','
}

// headingLine puts the usual names in place of the headings and returns the position
// of each column.
func headingLine(row []string, file string, line int) (map[string]int, error) {
	at := map[string]int{}
	for i, heading := range row {
		column, ok := columnNames[letters(heading)]
		if !ok {
			continue
		}
		if first, twice := at[column]; twice {
			return nil, &lines.Error{File: file, Line: line, Column: record.ColumnLetters(i + 1), Reason: fmt.Sprintf("%q means %s, as column %s does already; rename one of them", heading, column, record.ColumnLetters(first))}
		}
		row[i], at[column] = column, i+1
	}
	if at["scientificName"] == 0 {
		return nil, &lines.Error{File: file, Line: line, Reason: fmt.Sprintf("no column scientificName among the headings (%s); name the column of scientific names scientificName", strings.Join(row, ", "))}
	}
	return at, nil
}
