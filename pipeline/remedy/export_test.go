package remedy

import (
	"encoding/csv"
	"errors"
	"io"

	"spadefoot/pipeline/record"
)

// Read reads a table of remedies in CSV.
func Read(in io.Reader, name string) ([]Remedy, error) {
	s := record.Sheet{}
	r := csv.NewReader(in)
	r.FieldsPerRecord = -1
	for {
		cells, err := r.Read()
		switch {
		case errors.Is(err, io.EOF):
			return ReadSheet(&s, name)
		case err != nil:
			return nil, err
		}
		line, _ := r.FieldPos(0)
		row := record.Row{Number: line}
		for i, text := range cells {
			row.Cells = append(row.Cells, record.Cell{Text: text, Row: line, Column: i + 1})
		}
		s.Rows = append(s.Rows, row)
	}
}

// Grid is a mapped table. Keys holds, for each row of the table, the texts that
// its capture goes by.
type Grid struct {
	Table *record.Table
	Keys  [][]string
}

// Cells are whole tables.
type Cells struct {
	grids []Grid
	named func(text string) (measurement string, ok bool)
}

func NewCells(grids []Grid, named func(text string) (measurement string, ok bool)) *Cells {
	return &Cells{grids, named}
}

// Search looks through the tables row by row.
func (c *Cells) Search(rs []Remedy, at []record.Address) *Search {
	s := NewSearch(rs, at, c.named)
	for _, g := range c.grids {
		for i := range g.Table.Rows {
			s.Rows(g.Table, g.Table.Rows[i:i+1], g.Keys[i:i+1])
		}
	}
	return s
}

// Apply carries remedies out, row by row.
func Apply(rs []Remedy, c *Cells, o Options) (*Outcome, error) {
	out, err := c.Search(rs, nil).Settle(o)
	if err != nil {
		return nil, err
	}
	for _, g := range c.grids {
		changes := out.Changes(g.Table)
		for i := range g.Table.Rows {
			changes.Rows(g.Table.Rows[i : i+1])
		}
	}
	return out, nil
}

// Key is the key of the first row that has a cell.
func (c *Cells) Key(at record.Address) string {
	for _, g := range c.grids {
		for i, r := range g.Table.Rows {
			for _, cell := range r.Cells {
				if g.Table.Address(cell) == at {
					return g.Keys[i][0]
				}
			}
		}
	}
	return ""
}
