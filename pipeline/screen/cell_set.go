package screen

import "spadefoot/pipeline/record"

// cellSet is a set of cells. It is looked up by row first, since few rows have any. A nil
// set is empty.
type cellSet struct {
	rows  map[int]bool // of the cells, in any sheet
	cells map[record.Address]bool
}

func (s *cellSet) add(a record.Address) {
	if s.cells == nil {
		s.rows, s.cells = map[int]bool{}, map[record.Address]bool{}
	}
	s.rows[a.Row], s.cells[a] = true, true
}

func (s *cellSet) has(a record.Address) bool { return s != nil && s.rows[a.Row] && s.cells[a] }

func (s *cellSet) size() int {
	if s == nil {
		return 0
	}
	return len(s.cells)
}
