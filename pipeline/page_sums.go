package pipeline

import (
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// sums follows rows, captures and readings from the sheets to the archive.
func (w *way) sums() []report.Sum {
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
	read, made := w.readings()
	kept := c.Measurements - made
	return append(out,
		report.Sum{Name: "Readings in the cells of captures", N: read.all(), Parts: []report.Part{
			{Name: "published as measurements", N: kept},
			{Name: "gross and bag masses that a net mass stands for, or that leave none", N: read.understood - kept},
			{Name: "not taken: blank, or a word for it", N: read.missing},
			{Name: "not understood", N: read.unread}}},
		report.Sum{Name: "Measurements in the archive", N: c.Measurements, Parts: []report.Part{
			{Name: "as read from a cell", N: kept},
			{Name: "computed, such as gross less bag", N: made}}})
}

func (w *way) transposed() bool {
	for _, l := range w.laid {
		if l.table.Transposed {
			return true
		}
	}
	return false
}

// readingCount counts what stood in cells by what became of it.
type readingCount struct{ understood, missing, unread int }

func (n readingCount) all() int { return n.understood + n.missing + n.unread }

func (n *readingCount) add(s record.State) {
	switch s {
	case record.Missing:
		n.missing++
	case record.Unread:
		n.unread++
	default:
		n.understood++
	}
}

// readings counts the readings that stood in cells, each once, and those that
// were made from others. A mass is a reading of the scale and, once worked
// out, a reading of the capture too; the cell counts once.
func (w *way) readings() (read readingCount, made int) {
	for _, c := range w.captures {
		seen := map[record.Address]bool{}
		one := func(r *record.Reading) {
			if r == nil || r.Derived || seen[r.From] && r.From.Column > 0 {
				return
			}
			seen[r.From] = true
			read.add(r.State)
		}
		for i := range c.Readings {
			r := &c.Readings[i]
			if r.Derived && r.State != record.Missing && r.State != record.Unread {
				made++
			}
			one(r)
		}
		if c.Weighing != nil {
			one(c.Weighing.Gross)
			one(c.Weighing.Tare)
			one(c.Weighing.Net)
		}
	}
	return read, made
}
