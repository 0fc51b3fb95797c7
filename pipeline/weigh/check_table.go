package weigh

import (
	"cmp"
	"fmt"
	"strings"
	"unicode"

	"spadefoot/pipeline/quantity"
)

// checkColumns are the columns of a table of checks of scales, from 0; -1 for one
// that it lacks.
type checkColumns struct {
	Date, Scale, Load, Reading, Zero, Unit int
	units                                  map[int]string // that headings name
}

// headsChecks tells by the headings of a table whether it is one of checks of scales: a
// column for the mass that lay on the scale and one for what it read, or one for
// the zero.
func headsChecks(headings []string) (c checkColumns, is bool) {
	c = checkColumns{-1, -1, -1, -1, -1, -1, map[int]string{}}
	known, unknown := 0, 0
	for i, heading := range headings {
		to := c.column(c.headed(i, heading))
		switch {
		case heading == "":
		case to == nil || *to >= 0:
			unknown++
		default:
			*to = i
			known++
		}
	}
	return c, (c.Load >= 0 && c.Reading >= 0 || c.Zero >= 0 && c.Date >= 0) && unknown < known
}

// IsOfChecks reports whether headings are those of a table of checks.
func IsOfChecks(headings []string) bool {
	_, is := headsChecks(headings)
	return is
}

// headsColumn reports whether a text may head a column of such a table.
func headsColumn(heading string) bool {
	c, _ := headsChecks([]string{heading})
	return max(c.Date, c.Scale, c.Load, c.Reading, c.Zero, c.Unit) >= 0
}

// headed are the words of a heading but for its unit, which is noted.
func (c *checkColumns) headed(i int, heading string) (words []checkToken) {
	for k, t := range checkTokens(heading) {
		if unit, ok := quantity.FindUnit(t.text); ok && k > 0 && quantity.Dimension(unit) == "mass" {
			c.units[i] = t.text
			continue
		}
		words = append(words, t)
	}
	return words
}

// column is the one that a heading is over, nil if that is not understood.
func (c *checkColumns) column(words []checkToken) *int {
	numbers, kinds, unknown := understand(words)
	switch in := func(kind string) bool { return kinds.in(0, kind) }; {
	case unknown != "" || len(numbers) > 0 || len(words) == 0:
		return nil
	case in("zero"):
		return &c.Zero
	case in("reading"):
		return &c.Reading
	case in("load"):
		return &c.Load
	case in("unit"):
		return &c.Unit
	case in("day"):
		return &c.Date
	case in("scale"):
		return &c.Scale
	}
	return nil
}

// Read reads a row of the table as one check or, where it has a zero beside a mass,
// two. Why says what was not understood. A row without a reading has none.
func (c *checkColumns) Read(cells []string, scales []Instrument) (checks []Check, why string) {
	of := func(column int) string {
		if column < 0 || column >= len(cells) {
			return ""
		}
		return cells[column]
	}
	for _, m := range [...]struct {
		load    string
		columns [2]int
	}{{of(c.Load), [2]int{c.Load, c.Reading}}, {"0", [2]int{-1, c.Zero}}} {
		reading := of(m.columns[1])
		if reading == "" {
			continue
		}
		unit := cmp.Or(of(c.Unit), c.units[m.columns[1]], c.units[m.columns[0]])
		found, why := checksIn(fmt.Sprintf("%s: %s = %s", of(c.Scale), withUnit(m.load, cmp.Or(c.units[m.columns[0]], unit)), withUnit(reading, unit)), scales)
		if why != "" {
			return nil, why
		}
		checks = append(checks, found...)
	}
	return checks, ""
}

// withUnit writes a unit behind a number that has none.
func withUnit(number, unit string) string {
	if strings.ContainsFunc(number, unicode.IsLetter) {
		return number
	}
	return number + " " + unit
}
