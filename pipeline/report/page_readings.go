package report

import (
	"slices"

	"spadefoot/pipeline/record"
)

// ReadingCount counts what was in the cells of captures by what became of
// it, each cell once, and the readings that were made from others. A mass is a
// reading of the scale and, once worked out, a reading of the capture too; its
// cell counts once.
type ReadingCount struct {
	Understood, Missing, Unread int
	Made                        int

	seen []*record.Reading // of the capture that is added, one for each cell
}

// All is how many readings were in cells.
func (n *ReadingCount) All() int { return n.Understood + n.Missing + n.Unread }

// Join adds what another counted.
func (n *ReadingCount) Join(o *ReadingCount) {
	n.Understood += o.Understood
	n.Missing += o.Missing
	n.Unread += o.Unread
	n.Made += o.Made
}

// Clear begins to count anew.
func (n *ReadingCount) Clear() { *n = ReadingCount{seen: n.seen} }

// Add counts the readings of a capture.
func (n *ReadingCount) Add(c *record.Capture) {
	defer func() {
		clear(n.seen)
		n.seen = n.seen[:0]
	}()
	for i := range c.Readings {
		r := &c.Readings[i]
		if r.Derived && r.State != record.Missing && r.State != record.Unread {
			n.Made++
		}
		n.one(r)
	}
	if c.Weighing != nil {
		n.one(c.Weighing.Gross)
		n.one(c.Weighing.Tare)
		n.one(c.Weighing.Net)
	}
}

// one counts a reading that was in its own cell. A capture has few, and
// looking through them is cheaper than a map.
func (n *ReadingCount) one(r *record.Reading) {
	if r == nil || r.Derived || r.Column.Column > 0 && slices.ContainsFunc(n.seen, r.SameCell) {
		return
	}
	n.seen = append(n.seen, r)
	switch r.State {
	case record.Missing:
		n.Missing++
	case record.Unread:
		n.Unread++
	default:
		n.Understood++
	}
}
