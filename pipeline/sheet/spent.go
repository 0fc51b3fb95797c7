package sheet

import (
	"fmt"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/budget"
)

// faultCells is what a cell with its own finding counts as.
const faultCells = 10

// spent is what the cells of one file have come to, against its budgets.
type spent struct {
	budgets               budget.Budgets
	cells, repeated, text int
	columns               int // cells of the row that hold something
	row                   int // that columns is of
	over                  *Error
}

func newSpent(b budget.Budgets) *spent { return &spent{budgets: b.OrUsual()} }

// exceed keeps the first budget that was exceeded, and where.
func (s *spent) exceed(at record.Address, key, cause string) {
	if s.over == nil {
		s.over = &Error{File: at.File, Sheet: at.Sheet, Row: at.Row, Column: at.Column, Cause: cause, Advice: budget.Advice(key)}
	}
}

// err is the first budget that was exceeded, or nil.
func (s *spent) err() error {
	if s.over == nil {
		return nil
	}
	return s.over
}

// blank counts cells that hold nothing.
func (s *spent) blank(at record.Address, n int) bool {
	if s.cells += n; s.cells > s.budgets.Cells {
		s.exceed(record.Address{File: at.File, Sheet: at.Sheet, Row: at.Row}, budget.Cells,
			fmt.Sprintf("up to here there are more than %d cells, including blank cells between others", s.budgets.Cells))
	}
	return s.over == nil
}

// cell counts one cell and what is in it. It is false where that was too
// much.
func (s *spent) cell(at record.Address, text string) bool {
	s.text += len(text)
	if at.Row != s.row {
		s.row, s.columns = at.Row, 0
	}
	if text != "" {
		s.columns++
	}
	if s.holds(at, text) && s.text > s.budgets.Text {
		s.exceed(at, budget.Text, fmt.Sprintf("the cells up to here hold more than %d bytes of text; a shared text counts once for each cell", s.budgets.Text))
	}
	s.filled(at, s.columns)
	return s.blank(at, 1)
}

// holds checks what is in one cell. It is false where that is too much.
func (s *spent) holds(at record.Address, text string) bool {
	if len(text) > s.budgets.Cell {
		s.exceed(at, budget.Cell, fmt.Sprintf("the cell holds more than %d bytes", s.budgets.Cell))
		return false
	}
	return true
}

// filled checks how many cells of one row hold something.
func (s *spent) filled(at record.Address, n int) {
	if n > s.budgets.Columns {
		s.exceed(at, budget.Columns, fmt.Sprintf("this row has more than %d non-blank cells", s.budgets.Columns))
	}
}

// repeat counts cells that are there by a count of repetitions.
func (s *spent) repeat(at record.Address, n int) bool {
	if s.repeated += n; s.repeated > s.budgets.Repeated {
		s.exceed(at, budget.Repeated, fmt.Sprintf("more than %d cells are produced by repetition counts", s.budgets.Repeated))
	}
	return s.over == nil
}
