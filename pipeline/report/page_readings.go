package report

import "spadefoot/pipeline/record"

// ReadingCount counts what was in the cells of captures by what became of
// it, and the readings that were made from others. A mass is a reading of the
// scale and, once worked out, a reading of the capture too; it counts once.
type ReadingCount struct {
	Understood, Missing, Unread int
	Undecided                   int // of those understood, not published since nobody decided on them
	Made                        int // and published
}

// All is how many readings were in cells.
func (n *ReadingCount) All() int { return n.Understood + n.Missing + n.Unread }

// Join adds what another counted.
func (n *ReadingCount) Join(o *ReadingCount) {
	n.Understood += o.Understood
	n.Missing += o.Missing
	n.Unread += o.Unread
	n.Undecided += o.Undecided
	n.Made += o.Made
}

// Add counts the readings of a capture.
func (n *ReadingCount) Add(c *record.Capture) {
	for i := range c.Readings {
		switch r := &c.Readings[i]; {
		case !r.Derived:
			n.one(r)
		case r.Undecided == "" && r.State != record.Missing && r.State != record.Unread:
			n.Made++
		}
	}
	for r := range c.Weighing.Readings() {
		if !r.Derived && !writtenWith(c.Readings, r) {
			n.one(r)
		}
	}
}

// writtenWith reports whether one of some readings was written in the cell of another.
func writtenWith(rs []record.Reading, r *record.Reading) bool {
	for i := range rs {
		if !rs[i].Derived && rs[i].SameCell(r) {
			return true
		}
	}
	return false
}

// one counts a reading that was in a cell.
func (n *ReadingCount) one(r *record.Reading) {
	switch r.State {
	case record.Missing:
		n.Missing++
	case record.Unread:
		n.Unread++
	default:
		n.Understood++
		if r.Undecided != "" {
			n.Undecided++
		}
	}
}
