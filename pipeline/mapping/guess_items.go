package mapping

import (
	"slices"
	"strconv"
	"strings"
	"unicode"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/vocabulary"
)

// findItems makes an item of every column, and one item of columns whose
// headings are alike but for a number at the end and can be a measurement.
func (g *guesser) findItems() {
	bases := make([]string, len(g.table.Columns))
	numbers := make([]int, len(g.table.Columns))
	count := map[string]int{}
	for i, c := range g.table.Columns {
		bases[i], numbers[i] = g.replicateOf(c.Heading)
		count[bases[i]]++
	}
	groups := map[string]*item{}
	for i, c := range g.table.Columns {
		if it := groups[bases[i]]; it != nil {
			it.columns, it.replicates = append(it.columns, i), append(it.replicates, numbers[i])
			continue
		}
		it := &item{columns: []int{i}, heading: c.Heading}
		if bases[i] != "" && count[bases[i]] > 1 {
			it.heading, it.replicates = bases[i], []int{numbers[i]}
			groups[bases[i]] = it
		}
		g.items = append(g.items, it)
	}
	for _, it := range g.items {
		it.number()
		it.unit = g.unitOf(it)
	}
}

// replicateOf splits "SVL 2 (mm)" into SVL and 2. The base is "" where it is
// no known measurement, or where the number belongs to the name (P8).
func (g *guesser) replicateOf(heading string) (base string, n int) {
	rest := heading
	if _, r, ok := quantity.HeadingUnit(heading); ok {
		rest = r
	}
	trimmed := strings.TrimRight(rest, ") ")
	base = strings.TrimRightFunc(trimmed, unicode.IsDigit)
	if base != trimmed {
		if g.isMeasurement(trimmed) {
			return "", 0
		}
		n, _ = strconv.Atoi(trimmed[len(base):])
	}
	base = strings.TrimRight(base, " _-.(#")
	if !g.isMeasurement(base) {
		return "", 0
	}
	return vocabulary.Fold(base), n
}

func (g *guesser) isMeasurement(text string) bool {
	return slices.ContainsFunc(g.know.headings[vocabulary.Fold(text)], func(h vocabulary.Heading) bool {
		return h.Role == vocabulary.HeadingMeasurement
	})
}

// number gives the columns of a group replicate numbers from 1 where the
// headings do not hold a different number each.
func (it *item) number() {
	if it.replicates == nil {
		return
	}
	sorted := slices.Clone(it.replicates)
	slices.Sort(sorted)
	if sorted[0] < 1 || len(slices.Compact(sorted)) < len(it.replicates) {
		for i := range it.replicates {
			it.replicates[i] = i + 1
		}
	}
}

// unitOf finds the unit of an item: in the heading, in the unit row, or beside
// the numbers.
func (g *guesser) unitOf(it *item) string {
	if code := g.unitWritten(it.columns[0]); code != "" {
		return code
	}
	return g.profiles[it.columns[0]].unit
}

// unitWritten is the unit that the heading or the unit row of a column gives.
func (g *guesser) unitWritten(i int) string {
	column := g.table.Columns[i]
	if code, _, ok := quantity.HeadingUnit(column.Heading); ok {
		return code
	}
	code, _ := quantity.FindUnit(strings.Trim(column.Unit, " ()[]"))
	return code
}
