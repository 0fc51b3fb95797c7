package normalise

import (
	"strings"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
)

func isElevation(term string) bool {
	switch term {
	case "minimumElevationInMeters", "verbatimElevation", "minimumDepthInMeters", "verbatimDepth":
		return true
	}
	return false
}

// elevation reads an elevation or depth into metres, the smallest and the
// largest; a column of its own for the largest wins.
func (r *row) elevation(i int, m *record.Meaning, c *record.Cell) {
	unit := m.Unit
	if unit == "" {
		unit = "m"
	}
	read, least, most, verbatim := place.ParseElevation, tMinimumElevation, tMaximumElevation, tVerbatimElevation
	if strings.Contains(m.Term, "epth") {
		read, least, most, verbatim = place.ParseDepth, tMinimumDepth, tMaximumDepth, tVerbatimDepth
	}
	decimal := r.columns.written[i].decimal // no mark of other columns: 1.200 may be a height where masses have points
	if c.Kind == record.Number {
		decimal = '.'
	}
	low, high, problems := read(c.Text, unit, decimal)
	if low == "" && unsaid(c.Text) {
		return
	}
	r.problems(problems, c, m.Term)
	if low == "" {
		r.keepVerbatim(verbatim, c)
		return
	}
	r.put(least, low, c.Verbatim(), r.at(c))
	if high != "" {
		r.fill(most, high, r.at(c))
	}
	if strings.TrimSpace(c.Verbatim()) != low {
		r.keepVerbatim(verbatim, c)
	}
}
