package pipeline

import (
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// seenCells counts what became of the cells of each column. A cell that was
// carried down or stands above a table counts once for captures that follow each
// other.
type seenCells struct {
	columns          map[record.Address]ColumnSeen
	elsewhere        map[record.Address]record.Address // by column, the last cell that is not of the capture's own row
	readings, values int
	own              []record.Address // of the capture in hand
}

func newSeen() *seenCells {
	return &seenCells{columns: map[record.Address]ColumnSeen{}, elsewhere: map[record.Address]record.Address{}}
}

// columnAddress is the address of a column, without a row.
func columnAddress(file, sheet string, column int) record.Address {
	return record.Address{File: file, Sheet: sheet, Column: column}
}

// doubt counts errors and warnings.
func (s *seenCells) doubt(fs []record.Finding) {
	for i := range fs {
		if f := &fs[i]; f.Level >= record.Warning && f.At.Column > 0 {
			s.count(f.At, func(c *ColumnSeen) { c.Doubts++ })
		}
	}
}

func (s *seenCells) count(at record.Address, add func(*ColumnSeen)) {
	at.Row = 0
	one, there := s.columns[at]
	if !there {
		at.File, at.Sheet = strings.Clone(at.File), strings.Clone(at.Sheet)
	}
	add(&one)
	s.columns[at] = one
}

// add counts the cells of a capture that were read.
func (s *seenCells) add(c *record.Capture) {
	s.own = s.own[:0]
	for i := range c.Values {
		v := &c.Values[i]
		if v.Text != "" {
			s.cell(c, v.From)
			if v.From.Row > 0 {
				s.values++
			}
		}
	}
	for i := range c.Readings {
		s.reading(c, &c.Readings[i])
		if r := &c.Readings[i]; r.Usable() && !r.Derived {
			s.readings++
		}
	}
	if w := c.Weighing; w != nil {
		s.reading(c, w.Gross)
		s.reading(c, w.Tare)
		s.reading(c, w.Net)
		if w.BagLabel != "" {
			s.cell(c, w.Bag)
		}
	}
}

func (s *seenCells) reading(c *record.Capture, r *record.Reading) {
	if r != nil && r.Usable() {
		s.cell(c, r.From)
	}
}

// cell counts a cell of the capture once.
func (s *seenCells) cell(c *record.Capture, at record.Address) {
	if at.Column == 0 || at.Row == 0 || slices.Contains(s.own, at) {
		return
	}
	s.own = append(s.own, at)
	if at.Row != c.Row {
		column := columnAddress(at.File, at.Sheet, at.Column)
		if s.elsewhere[column] == at {
			return
		}
		at.File, at.Sheet = strings.Clone(at.File), strings.Clone(at.Sheet)
		s.elsewhere[columnAddress(at.File, at.Sheet, at.Column)] = at
	}
	s.count(at, func(c *ColumnSeen) { c.Read++ })
}
