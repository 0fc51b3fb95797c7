package remedy

import (
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
)

// Grid is a mapped table. Keys holds, for each row of the table, the texts
// that its capture goes by.
type Grid struct {
	Table *record.Table
	Keys  [][]string
}

// Cells finds the cells of tables by address and by capture and field.
type Cells struct {
	grids   []Grid
	named   func(text string) (measurement string, ok bool)
	places  map[record.Address][]spot
	byKey   map[string][]spot // column unused
	changed map[record.Address]bool
}

// spot is a cell within the grids.
type spot struct{ grid, row, column int }

// NewCells indexes the tables. Named gives the measurement that a text in a
// column of names stands for; it may be nil.
func NewCells(grids []Grid, named func(text string) (measurement string, ok bool)) *Cells {
	c := &Cells{grids: grids, named: named, places: map[record.Address][]spot{}, byKey: map[string][]spot{}, changed: map[record.Address]bool{}}
	for g := range grids {
		t := grids[g].Table
		for r := range t.Rows {
			for i := range t.Rows[r].Cells {
				if cell := &t.Rows[r].Cells[i]; cell.Row > 0 {
					at := t.Address(*cell)
					c.places[at] = append(c.places[at], spot{g, r, i})
				}
			}
			if r < len(grids[g].Keys) {
				for _, key := range grids[g].Keys[r] {
					c.byKey[foldText(key)] = append(c.byKey[foldText(key)], spot{grid: g, row: r})
				}
			}
		}
	}
	return c
}

func foldText(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }

func (c *Cells) table(s spot) *record.Table { return c.grids[s.grid].Table }

func (c *Cells) cell(s spot) *record.Cell { return &c.table(s).Rows[s.row].Cells[s.column] }

func (c *Cells) column(s spot) *record.Column { return &c.table(s).Columns[s.column] }

func (c *Cells) address(s spot) record.Address { return c.table(s).Address(*c.cell(s)) }

// key is what the capture of a cell is called, "" if it has no name.
func (c *Cells) key(s spot) string {
	keys := c.grids[s.grid].Keys
	if s.row < len(keys) && len(keys[s.row]) > 0 {
		return keys[s.row][0]
	}
	return ""
}

// text is what a cell holds now, without white space at its ends.
func (c *Cells) text(s spot) string { return strings.TrimSpace(lines.OneBreak(c.cell(s).Text)) }

// find gives the cells that a remedy may mean: all of one address, or of
// several where capture and field do not settle it. Where capture and address
// are both given the capture counts, and the address decides between cells.
func (c *Cells) find(r *Remedy) (at []record.Address, why string) {
	if r.Capture == "" {
		if len(c.places[r.At]) == 0 {
			return nil, "no cell of a table stands at " + r.At.String()
		}
		return []record.Address{r.At}, ""
	}
	rows := c.byKey[foldText(r.Capture)]
	for _, row := range rows {
		t := c.table(row)
		if r.At.File != "" && (t.File != r.At.File || t.Sheet != r.At.Sheet && r.At.Sheet != "") {
			continue
		}
		for i := range t.Columns {
			s := spot{row.grid, row.row, i}
			if c.cell(s).Row == 0 || !c.means(s, r) {
				continue
			}
			if a := c.address(s); !slices.Contains(at, a) {
				at = append(at, a)
			}
		}
	}
	switch {
	case len(rows) == 0:
		return nil, "no capture has the key " + strconv.Quote(r.Capture)
	case len(at) == 0:
		return nil, "the capture has no cell for the field " + strconv.Quote(r.Field)
	case slices.Contains(at, r.At):
		return []record.Address{r.At}, ""
	}
	return at, ""
}

// means reports whether a remedy's field, or its column where it has no field,
// is that of a cell.
func (c *Cells) means(s spot, r *Remedy) bool {
	if r.Field == "" {
		return c.cell(s).Column == r.At.Column
	}
	want := foldText(r.Field)
	return slices.ContainsFunc(c.names(s), func(name string) bool { return foldText(name) == want })
}

// masses are the names that the parts of a weighing have as measurements.
var masses = map[string]string{record.Gross: "grossMass", record.Tare: "bagMass", record.Net: "bodyMass"}

// names are what a field may be called: its meaning first, its heading last.
func (c *Cells) names(s spot) []string {
	col := c.column(s)
	m := col.Meaning
	var out []string
	switch m.Role {
	case record.Term:
		out = append(out, m.Term)
	case record.Measurement:
		out = append(out, replicate(m.Measurement, m.Replicate), m.Measurement)
	case record.WeighPart:
		out = append(out, m.Part)
		if mass := masses[m.Part]; mass != "" {
			out = append(out, mass)
		}
	case record.ValueColumn:
		out = append(out, c.measured(s, m)...)
	}
	if col.Heading != "" {
		out = append(out, col.Heading)
	}
	return slices.Compact(out)
}

// label names the column of a cell for people.
func (c *Cells) label(s spot) string {
	if names := c.names(s); len(names) > 0 {
		return names[0]
	}
	return "column " + record.ColumnLetters(c.column(s).Number)
}

func replicate(measurement string, n int) string {
	if n > 0 {
		return measurement + " " + strconv.Itoa(n)
	}
	return measurement
}

// measured names what the value of a one-measurement-per-row table is of.
func (c *Cells) measured(s spot, value record.Meaning) []string {
	t := c.table(s)
	for i := range t.Columns {
		if t.Columns[i].Meaning.Role != record.NameColumn {
			continue
		}
		text := c.text(spot{s.grid, s.row, i})
		var out []string
		if own, ok := value.Vocabulary[text]; ok {
			out = append(out, own)
		} else if c.named != nil {
			if m, ok := c.named(text); ok {
				out = append(out, m)
			}
		}
		return append(out, text)
	}
	return nil
}
