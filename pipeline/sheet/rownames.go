package sheet

import (
	"slices"
	"strings"
	"sync"
	"unicode"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// Programs for statistics write tables whose first line has a heading less than
// the rows have cells: the first cell of each row is its name.
//
//	"species","svl","mass"
//	"1","Rana temporaria",61.2,20.1
//
// Read from the left, every heading would be over its neighbour's values.
const minNamedRows = 3

// sampleRows is how many rows are looked at for names of rows.
const sampleRows = 500

// namesRows reports whether the rows of a sample have names: the first line is
// all headings, the first of which is not one for numbers of animals, and every
// further row has a cell more, the last of which is seldom blank.
func (s *shape) namesRows(sample []byte, whole bool) bool {
	r := &splitter{src: strings.NewReader(""), plain: map[int]bool{}, shape: *s, buf: sample, end: len(sample), line: 1, report: func(string, record.Level, int, int, string, string) {}}
	var head []record.Cell
	rows, filled := 0, 0
	for rows < sampleRows {
		row, err := r.next()
		if err != nil {
			break
		}
		if !whole && r.pos == r.end {
			break // the last row of a sample may be cut
		}
		if holdsNothing(row) {
			continue
		}
		if head == nil {
			if head = row.Cells; len(head) < 2 || !allHeadings(head) || identifiers()[vocabulary.Fold(head[0].Text)] {
				return false
			}
			continue
		}
		if len(row.Cells) != len(head)+1 || row.Cells[0].Text == "" {
			return false
		}
		rows++
		if row.Cells[len(head)].Text != "" {
			filled++
		}
	}
	return rows >= minNamedRows && 2*filled > rows
}

func allHeadings(cells []record.Cell) bool {
	return !slices.ContainsFunc(cells, func(c record.Cell) bool { return !strings.ContainsFunc(c.Text, unicode.IsLetter) })
}

// identifiers are the folded headings of what tells animals or captures apart.
var identifiers = sync.OnceValue(func() map[string]bool {
	out := map[string]bool{}
	for _, h := range vocabulary.Headings() {
		switch h.Value {
		case "recordNumber", "catalogNumber", "organismID", "occurrenceID", "otherCatalogNumbers", "fieldNumber", "eventID":
			out[vocabulary.Fold(h.Heading)] = true
		}
	}
	return out
})

// moveRight puts a blank heading over the names of the rows.
func moveRight(cells []record.Cell) []record.Cell {
	out := make([]record.Cell, 1, len(cells)+1)
	out[0] = record.Cell{Row: cells[0].Row, Column: 1}
	for _, c := range cells {
		c.Column++
		out = append(out, c)
	}
	return out
}
