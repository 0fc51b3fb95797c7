package pipeline

import (
	"slices"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// sums follows rows, captures and readings from the sheets to the archive.
func (w *walk) sums(read readingCount) []report.Sum {
	c := w.counts
	var out []report.Sum
	if rest := c.RowsRead - c.TableRows; rest >= 0 && !w.transposed() {
		out = append(out, report.Sum{Name: "Rows in the sheets", N: c.RowsRead, Parts: []report.Part{
			{Name: "rows of captures", N: c.TableRows},
			{Name: "headings, titles, notes and blank rows", N: rest}}})
	}
	captures := report.Sum{Name: "Captures", N: c.Captures, Parts: []report.Part{
		{Name: "published as occurrences", N: c.Occurrences - c.Absences},
		{Name: "held back", N: c.Captures - c.Occurrences}}}
	if c.Absences > 0 {
		captures.Parts = append(captures.Parts, report.Part{Name: "rows that say that nothing was found, published as absences", N: c.Absences})
	}
	out = append(out, captures)
	kept := c.Measurements - read.made
	return append(out,
		report.Sum{Name: "Readings in the cells of captures", N: read.all(), Parts: []report.Part{
			{Name: "published as measurements", N: kept},
			{Name: "masses of animal and bag together, and of bags alone", N: read.understood - kept},
			{Name: "not taken: blank, or a word for it", N: read.missing},
			{Name: "not understood", N: read.unread}}},
		report.Sum{Name: "Measurements in the archive", N: c.Measurements, Parts: []report.Part{
			{Name: "as read from a cell", N: kept},
			{Name: "computed, such as gross less bag", N: read.made}}})
}

func (w *walk) transposed() bool {
	for _, l := range w.laid {
		if l.table.Transposed {
			return true
		}
	}
	return false
}

// readingCount counts what stood in the cells of captures by what became of
// it, each cell once, and the readings that were made from others. A mass is a
// reading of the scale and, once worked out, a reading of the capture too; its
// cell counts once.
type readingCount struct {
	understood, missing, unread int
	made                        int

	seen []record.Address // cells of the capture that is added
}

func (n *readingCount) all() int { return n.understood + n.missing + n.unread }

// add counts the readings of a capture.
func (n *readingCount) add(c *record.Capture) {
	n.seen = n.seen[:0]
	for i := range c.Readings {
		r := &c.Readings[i]
		if r.Derived && r.State != record.Missing && r.State != record.Unread {
			n.made++
		}
		n.one(r)
	}
	if c.Weighing != nil {
		n.one(c.Weighing.Gross)
		n.one(c.Weighing.Tare)
		n.one(c.Weighing.Net)
	}
}

// one counts a reading that stood in a cell of its own. A capture has few, and
// looking through them is cheaper than a map.
func (n *readingCount) one(r *record.Reading) {
	if r == nil || r.Derived || r.From.Column > 0 && slices.Contains(n.seen, r.From) {
		return
	}
	n.seen = append(n.seen, r.From)
	switch r.State {
	case record.Missing:
		n.missing++
	case record.Unread:
		n.unread++
	default:
		n.understood++
	}
}
