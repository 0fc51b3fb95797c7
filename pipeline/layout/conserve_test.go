package layout_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"unicode"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/record"
)

type spot struct{ row, column int }

// held gathers what tables and findings say of each cell, each row and each
// column of a sheet.
type held struct {
	cells   map[spot][]string
	rows    map[int][]string
	columns map[int][]string
	sheet   []string
	cards   []string // the names on cards, which come again on each
}

func gatherHeld(tables []record.Table, findings []record.Finding) *held {
	h := &held{map[spot][]string{}, map[int][]string{}, map[int][]string{}, nil, nil}
	label := func(l record.Label) {
		at := spot{l.Cell.Row, l.Cell.Column}
		h.cells[at] = append(h.cells[at], l.Cell.Text)
		h.rows[l.Cell.Row] = append(h.rows[l.Cell.Row], l.Name) // the name may be in its own cell
		h.columns[l.Cell.Column] = append(h.columns[l.Cell.Column], l.Name)
	}
	for _, t := range tables {
		for _, c := range t.Columns {
			for k, n := range t.HeadingRows {
				at := spot{n, c.Number}
				if t.Transposed {
					at = spot{c.Number, n}
				}
				if k < len(c.Parts) {
					h.cells[at] = append(h.cells[at], c.Parts[k])
				}
				if k == len(t.HeadingRows)-1 {
					h.cells[at] = append(h.cells[at], c.Unit)
				}
			}
		}
		for _, l := range t.Labels {
			label(l)
		}
		for _, r := range t.Rows {
			for _, c := range r.Cells {
				text := c.Text
				if c.Carried {
					text = "\x00" // any ditto mark or a blank
				}
				h.cells[spot{c.Row, c.Column}] = append(h.cells[spot{c.Row, c.Column}], text)
			}
			for _, l := range r.Labels {
				label(l)
			}
		}
	}
	for _, f := range findings {
		if f.Rule == "ditto-read" || f.Rule == "blank-as-above" || f.Rule == "label-shared" {
			continue // names what is in a table
		}
		if f.Rule == "cards-read" {
			h.cards = append(h.cards, f.Value) // the names
		}
		switch at := f.At; {
		case at.Row > 0 && at.Column > 0:
			h.cells[spot{at.Row, at.Column}] = append(h.cells[spot{at.Row, at.Column}], f.Value)
		case at.Row > 0:
			h.rows[at.Row] = append(h.rows[at.Row], f.Value)
		case at.Column > 0:
			h.columns[at.Column] = append(h.columns[at.Column], f.Value)
		default:
			h.sheet = append(h.sheet, f.Value)
		}
	}
	return h
}

// lost lists the cells of a sheet that are nowhere: not whole in one place,
// nor, for names with values, word by word in the labels from it.
// Columns that the options leave out are not looked for.
func lost(s record.Sheet, o layout.Options, tables []record.Table, findings []record.Finding) []string {
	h := gatherHeld(tables, findings)
	var out []string
	for _, r := range s.Rows {
		for _, c := range r.Cells {
			if c.Empty() || c.Column < o.FirstColumn || o.LastColumn > 0 && c.Column > o.LastColumn {
				continue
			}
			if !h.holds(c) {
				out = append(out, fmt.Sprintf("%s%d %q", record.ColumnLetters(c.Column), c.Row, c.Text))
			}
		}
	}
	return out
}

func (h *held) holds(c record.Cell) bool {
	own := h.cells[spot{c.Row, c.Column}]
	for _, text := range own {
		if text == c.Text || text == "\x00" {
			return true
		}
	}
	for _, list := range [][]string{h.rows[c.Row], h.columns[c.Column], h.sheet} {
		for _, text := range list {
			if text != "" && (text == c.Text || strings.Contains("\n"+strings.ReplaceAll(text, " | ", "\n")+"\n", "\n"+c.Text+"\n") || strings.Contains(text, c.Text) && strings.Contains(c.Text, "|")) {
				return true
			}
		}
	}
	said := map[string]bool{}
	for _, text := range slices.Concat(own, h.rows[c.Row], h.columns[c.Column], h.cards) {
		for _, w := range wordsOf(text) {
			said[w] = true
		}
	}
	ws := wordsOf(c.Text)
	for _, w := range ws {
		if !said[w] {
			return false
		}
	}
	return len(ws) > 0 && strings.ContainsAny(c.Text, ":=") || h.named(c)
}

// named reports whether the cell is the name of a label, with its colon or
// without.
func (h *held) named(c record.Cell) bool {
	for _, text := range append(append([]string{}, h.rows[c.Row]...), h.columns[c.Column]...) {
		if text != "" && strings.TrimRight(strings.TrimSpace(c.Text), ":= ") == text {
			return true
		}
	}
	return false
}

func wordsOf(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune(":=;,|", r) })
}

var scraps = []string{
	"", "", "", "", "", "", "1", "2", "3", "12", "61.5", "58", "33 g", "3 May 2021", "4.5.87", "MC-7", "Rana", "Bufo", "F", "M",
	"No", "SVL", "Tibia", "Mass", "Date", "Site", "Species", "mm", "(g)", "g", "\"", "-\"-", "do.", "-", "?", "mean", "Total", "n", "SE", "Max",
	"Pond B", "Site: Tern Slough", "Plot: 3", "Species:", "Observer = IV", "M = male", "Date: 3 May; Site: Mead", "Lengths", "left", "right",
	"weather turned bad at ten", "Marrow Creek frogs", "2021", "2022", "a:b:c", "::", "=", "12:30", "x|y", "é", "♂", "Date: ", "Sex: M = male, F = female",
}

// scribble makes a sheet of rows by columns cells at random, now and then with
// rows that say the same again.
func scribble(r *rand.Rand, rows, columns int) record.Sheet {
	var lines [][]string
	for len(lines) < rows {
		line := make([]string, r.IntN(columns+1))
		for k := range line {
			line[k] = scraps[r.IntN(len(scraps))]
		}
		switch n := r.IntN(10); {
		case n == 0:
			line = nil
		case n < 3 && len(lines) > 0:
			line = lines[r.IntN(len(lines))]
		case n == 3:
			line = []string{"No", "SVL", "Mass", "", "No", "SVL", "Mass"}[:3+4*r.IntN(2)]
		case n == 4:
			line = []string{scraps[r.IntN(len(scraps))]}
		}
		lines = append(lines, line)
	}
	s := record.Sheet{File: "notes.csv"}
	for i, line := range lines {
		row := record.Row{Number: i + 1}
		for k, text := range line {
			row.Cells = append(row.Cells, cellOf(text, i+1, k+1))
		}
		s.Rows = append(s.Rows, row)
	}
	return s
}

func show(s record.Sheet) string {
	var b strings.Builder
	for _, r := range s.Rows {
		var parts []string
		for _, c := range r.Cells {
			parts = append(parts, c.Text)
		}
		fmt.Fprintf(&b, "%d: %s\n", r.Number, strings.Join(parts, "|"))
	}
	return b.String()
}

var turnedYes, turnedNo = true, false

func someOptions(r *rand.Rand) layout.Options {
	o := layout.Options{IsHeading: []func(string) bool{nil, station, unknown}[r.IntN(3)]}
	switch r.IntN(8) {
	case 0:
		o.Plain = true
	case 1:
		o.HeadingRow, o.HeadingRows = 1+r.IntN(4), r.IntN(4)
	case 2:
		o.Transposed = &turnedYes
	case 3:
		o.Transposed = &turnedNo
	case 4:
		o.SkipRows, o.LastRow = []int{1 + r.IntN(6), 1 + r.IntN(6)}, r.IntN(12)
	case 5:
		o.FirstColumn, o.LastColumn = r.IntN(4), r.IntN(9)
	}
	return o
}

// TestNothingIsLost checks on sheets at random that every cell that holds
// something is in a row, a heading or a label of a table, or in a finding.
func TestNothingIsLost(t *testing.T) {
	for seed := range uint64(5000) {
		r := rand.New(rand.NewPCG(seed, 3))
		s := scribble(r, 1+r.IntN(14), 1+r.IntN(9))
		o := someOptions(r)
		before := show(s)
		tables, findings := layout.Find(s, o)
		if out := lost(s, o, tables, findings); len(out) > 0 {
			t.Fatalf("seed %d, options %+v: lost %v in\n%s\n%s", seed, o, out, show(s), draw(tables, findings))
		}
		if show(s) != before {
			t.Fatalf("seed %d: the sheet was changed", seed)
		}
		whole(t, tables)
		if again := draw(layout.Find(s, o)); again != draw(tables, findings) {
			t.Fatalf("seed %d: another outcome for the same sheet:\n%s\n%s", seed, draw(tables, findings), again)
		}
	}
}

// whole checks what record.Table promises.
func whole(t *testing.T, tables []record.Table) {
	t.Helper()
	for i, table := range tables {
		if table.Index != i+1 {
			t.Fatalf("table %d has the index %d", i+1, table.Index)
		}
		last := 0
		for _, row := range table.Rows {
			if len(row.Cells) != len(table.Columns) {
				t.Fatalf("table %d, row %d: %d cells under %d columns", i+1, row.Number, len(row.Cells), len(table.Columns))
			}
			if row.Number <= last {
				t.Fatalf("table %d: row %d after row %d", i+1, row.Number, last)
			}
			last = row.Number
			for k, c := range row.Cells {
				at := spot{row.Number, table.Columns[k].Number}
				if table.Transposed {
					at = spot{at.column, at.row}
				}
				if (spot{c.Row, c.Column}) != at {
					t.Fatalf("table %d: the cell %q in place %v says that it stands in %d, %d", i+1, c.Text, at, c.Row, c.Column)
				}
			}
		}
	}
}
