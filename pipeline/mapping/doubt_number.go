package mapping

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// numbered are numbers of records and of things. Marks of animals have objections of
// their own.
func (t *trial) numbered() bool {
	return t.is("recordNumber", "catalogNumber", "materialSampleID") || t.is("occurrenceID") && !t.named
}

var againstNumbers = []objection{
	{why: "only %d of %d values are different, but such a number identifies one thing",
		when: func(t *trial) bool {
			return !t.is("recordNumber") && t.p.filled > 10 && t.p.unique < 0.9 && t.withRole(record.NameColumn) == nil
		},
		figures: differentOfRows},
	{why: "the other words of the heading may say that it identifies something else",
		when: func(t *trial) bool { return t.is("occurrenceID") && t.partial }},
	{why: "the values have no numbers, and nothing says what they are codes of",
		when: func(t *trial) bool {
			return !t.is("recordNumber") && t.weight < generalHeading && t.p.ofTexts(digits().MatchString) < 0.5
		}},
	{why: "the numbers do not count on from row to row, and one letter stands for other things too",
		when: func(t *trial) bool {
			return t.is("recordNumber") && t.p.numeric == 1 && t.p.counting < 0.5 && t.p.filled > 2 && utf8.RuneCountInString(t.candidate.heading) == 1
		}},
	{why: "only %d of %d numbers are different, and no column of dates or places distinguishes the equal ones",
		when: func(t *trial) bool {
			return t.is("recordNumber") && t.p.unique < 0.9 && t.p.filled > 10 && !t.saysWhenOrWhere()
		},
		figures: differentOfRows},
	{why: "repeated letters do not number anything",
		when: func(t *trial) bool {
			return t.is("recordNumber") && t.p.distinct < t.p.filled && t.p.ofTexts(digits().MatchString) < 0.5
		}},
	{why: "most rows have none, and each capture has a number",
		when: func(t *trial) bool {
			return t.is("recordNumber") && t.weight < generalHeading && 2*t.p.filled < t.p.rows
		}},
	{why: "there are only %d different values in %d rows",
		when: func(t *trial) bool {
			return t.is("recordNumber") && t.p.filled > 20 && t.p.distinct < 6 && t.p.counting < 1
		},
		figures: differentOfRows},
}

// saysWhenOrWhere reports whether a column was given a day or a place.
func (g *guesser) saysWhenOrWhere() bool {
	return slices.ContainsFunc([]string{"eventDate", "year", "eventID", "fieldNumber", "locality", "locationID", "verbatimLocality"}, func(term string) bool { return g.columnOf(term) >= 0 })
}

// isMark reports whether a meaning is the mark of an animal.
func isMark(t *trial) bool {
	return t.is("organismID", "otherCatalogNumbers")
}

// doubtMark tests marks: an animal keeps its species and its sex, and a team
// marks more than a handful of animals.
func doubtMark(t *trial) string {
	p := t.p
	switch {
	case t.unnamed && !p.onceEach() && !t.keepsSex():
		return "some numbers occur more than once, and nothing says that they identify animals"
	case p.ofTexts(plainNumber().MatchString) > 0.9 && !p.onceEach() && strings.HasSuffix(strings.ToLower(t.it.heading), "s"):
		return "a plural over numbers is a count"
	case p.ofTexts(t.know.callsAnimal) > 0.5:
		return "the values are kinds of animals"
	case t.guesser.counted(t.it) && t.besideCounts():
		return "whole numbers under names of several animals are counts"
	case p.distinct == 1 && 2*p.filled < p.rows && p.ofTexts(digits().MatchString) == 0:
		return "few rows have it, all of them the same word"
	case p.filled > 20 && p.distinct <= 5:
		return fmt.Sprintf("there are only %d different values in %d rows", p.distinct, p.filled)
	case p.numeric > 0.9 && p.filled >= 5 && 3*p.ones() > p.filled:
		return fmt.Sprintf("%d of %d numbers are 1, as where animals are counted", p.ones(), p.filled)
	}
	if p.counting > 0.8 && p.unique < 0.98 && t.againOnOneDay() {
		return "the numbers count on from row to row and begin again on the same day, as those of rows do"
	}
	own := t.it.columns[0]
	for _, other := range []struct {
		term  string
		share float64
	}{{"scientificName", 0.1}, {"vernacularName", 0.1}, {"sex", 0.2}} {
		column := t.columnOf(other.term)
		if column < 0 {
			continue
		}
		if changed, repeats := t.changes(own, column, -1); repeats >= fewestAgain && changed > 1 && float64(changed) > other.share*float64(repeats) { // one is a slip
			few := func(changed, repeats int) bool {
				return repeats >= minChanged && float64(changed) <= fewChanged*float64(repeats)
			}
			if few(t.changes(own, column, t.columnOf("locality"))) {
				continue // marks begin anew at each place
			}
			if sex := t.columnOf("sex"); other.term != "sex" && sex >= 0 && few(t.changes(own, sex, column)) {
				continue // or with each kind of animal
			}
			return fmt.Sprintf("of %d repeats %d change in column %q", repeats, changed, t.table.Columns[column].Heading)
		}
	}
	return ""
}

// againOnOneDay reports whether the values of a column come again, and nothing
// says that they do so on another day.
func (t *trial) againOnOneDay() bool {
	day := t.columnOf("eventDate")
	if day < 0 {
		return false
	}
	changed, repeats := t.changes(t.it.columns[0], day, -1)
	return repeats > 0 && 2*changed < repeats
}

// fewestAgain is how often a number must stand again for the sexes beside it to tell
// whether it is an animal's.
const fewestAgain = 5

// keepsSex reports whether what has the same number is of the same sex as well,
// which places, nests and litters are not.
func (t *trial) keepsSex() bool {
	column := t.columnOf("sex")
	if column < 0 || t.profiles[column].distinct < 2 {
		return false
	}
	changed, repeats := t.changes(t.it.columns[0], column, -1)
	return repeats >= fewestAgain && 10*changed <= repeats
}

// untold reports whether a text says that the sex was not told, which changes into
// another and contradicts none.
func (g *guesser) untold(text string) bool {
	sex, _, _ := g.know.listOf("sex").Known(text, nil)
	return sex == "indeterminate"
}

// changes counts how often a text of column a that was above is beside
// another text of column b now; with the same text of a third column, unless that
// is negative.
func (g *guesser) changes(a, b, within int) (changed, repeats int) {
	last := map[string]string{}
	for _, row := range g.table.Rows {
		if a >= len(row.Cells) || b >= len(row.Cells) {
			continue
		}
		x, y := strings.TrimSpace(row.Cells[a].Text), vocabulary.Fold(row.Cells[b].Text)
		if x == "" || y == "" || quantity.Missing(x) || quantity.Missing(row.Cells[b].Text) || g.untold(row.Cells[b].Text) {
			continue
		}
		if within >= 0 && within < len(row.Cells) {
			x += "\x00" + vocabulary.Fold(row.Cells[within].Text)
		}
		if before, again := last[x]; again {
			repeats++
			if before != y {
				changed++
			}
		}
		last[x] = y
	}
	return changed, repeats
}

// counted are numbers of animals and of eggs.
func (t *trial) counted() bool {
	return t.is("individualCount") || t.meaning.Measurement == "clutchSize"
}

var againstCounts = []objection{
	{why: "animals are measured in rows in which it would count none",
		when: func(t *trial) bool {
			return t.is("individualCount") && t.weight < generalHeading && t.measuredWhere(isZero)
		}},
	{why: "animals with marks of their own are in rows in which it would count several",
		when: func(t *trial) bool { return t.is("individualCount") && !t.named && t.markedWhereSeveral() }},
	{why: "most of the numbers have words beside them",
		when: func(t *trial) bool { return t.is("individualCount") && t.p.ofTexts(plainNumber().MatchString) < 0.5 }},
	{why: "the numbers increase from row to row",
		when: func(t *trial) bool {
			return t.is("individualCount") && t.p.counting > 0.8 && t.p.unique > 0.98 && t.p.filled > 5
		}},
	{why: "nothing says what is counted",
		when: func(t *trial) bool {
			return t.is("individualCount") && (t.weight < generalHeading || !t.saysWhenOrWhere() && !t.saysElsewhere()) && !t.saysWhich()
		}},
	aboutDroppings,
	sumOfOthers,
	{why: "numbers from %s to %s are as likely those of clutches",
		when: func(t *trial) bool {
			return t.meaning.Measurement == "clutchSize" && len(t.p.values) > 5 && t.p.distinct > t.p.filled/4 && t.p.least() <= 2 && t.p.greatest() >= mostNumbered[0] && t.p.greatest() <= mostNumbered[1]
		},
		figures: func(t *trial) []any { return []any{number(t.p.least()), number(t.p.greatest())} }},
}

// markedWhereSeveral reports whether most rows in which an item is above 1 have the mark of
// an animal, which others hardly share.
func (t *trial) markedWhereSeveral() bool {
	mark := t.columnOf("organismID")
	if mark < 0 || t.profiles[mark].unique < 0.5 {
		return false
	}
	several, marked := 0, 0
	for r, n := range t.p.numbers {
		if n > 1 {
			several++
			marked += int(share(mark < len(t.table.Rows[r].Cells) && !t.table.Rows[r].Cells[mark].Empty()))
		}
	}
	return several > 1 && 2*marked > several
}

// What may be said against counts as well as against measurements.
var (
	aboutDroppings = objection{why: "the sheet is about droppings, and the heading does not say that it is the animal's",
		when: func(t *trial) bool {
			return (t.is("individualCount") || len(t.know.without(t.reading.words, sizeWord)) == 0) && t.ofDroppings()
		}}
	sumOfOthers = objection{why: "the numbers are the sums of columns to their left that are not measurements",
		when: func(t *trial) bool { return t.unstated() && t.isSum() }}
)

// mostNumbered is between what the last of numbered clutches lies: of fewer, the numbers
// are those of eggs in small clutches, of more those of large ones.
var mostNumbered = [2]float64{12, 60}

// isSum reports whether the numbers of an item are those of two columns or more
// that end left of it and mean no measurement, added up row by row.
func (t *trial) isSum() bool {
	measured := map[int]bool{}
	for _, o := range t.items {
		for _, i := range o.columns {
			measured[i] = o.chosen != nil && isMeasured(o.chosen)
		}
	}
	last := t.it.columns[0]
	total := t.p.numbers
	sums := make([]float64, len(total))
	for i, n := last-1, 1; i >= 0 && !measured[i]; i, n = i-1, n+1 {
		p := t.profiles[i]
		if p.numeric < 0.9 && p.filled > 0 {
			return false
		}
		rows, equal := 0, 0
		for r, x := range p.numbers {
			if !math.IsNaN(x) {
				sums[r] += x
			}
			if !math.IsNaN(total[r]) {
				rows++
				equal += int(share(math.Abs(sums[r]-total[r]) < 1e-9*(1+math.Abs(total[r]))))
			}
		}
		if n > 1 && rows >= 3 && 10*equal >= 9*rows {
			return true
		}
	}
	return false
}

// ofDroppings reports whether the name of the file or the tab, or a line above the
// table, says that it is about what animals leave behind.
func (g *guesser) ofDroppings() bool {
	speaks := func(text string) bool { return g.know.hasKind(g.know.read(text).words, droppingWord) }
	return speaks(g.table.File) || speaks(g.table.Sheet) || slices.ContainsFunc(g.table.Labels, func(l record.Label) bool { return speaks(l.Cell.Text) })
}
