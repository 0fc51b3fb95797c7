package mapping

import (
	"math"
	"slices"

	"spadefoot/pipeline/record/pattern"
)

// timed are days, times, years and visits.
func (t *trial) timed() bool {
	return t.is("eventDate", "eventTime", "year", "month", "day", "startDayOfYear", "eventID")
}

// strange is the first word of the heading that says nothing in any list, "" for none.
func (t *trial) strange() string {
	for _, w := range t.reading.words {
		if w != t.word && !t.saysSomething(w) && !t.know.animals[w] {
			return w
		}
	}
	return ""
}

// fewestOfDay is the number of decimals from which a share of a day shows its minute.
const fewestOfDay = 4

// wholeMinutes is the share of numbers that are whole minutes as shares of a day, within
// what their decimals show.
func (p *profile) wholeMinutes() float64 {
	const minutes = 24 * 60
	whole := count(len(p.values), func(i int) bool {
		x := p.values[i] * minutes
		return math.Abs(x-math.Round(x)) <= minutes*math.Pow10(-min(p.decimals, 10))
	})
	return float64(whole) / float64(len(p.values))
}

// lettersThenNumber matches what may be the day of a month, or a code: gen1.
var lettersThenNumber = pattern.Of(`^\p{L}+\d{1,2}$`)

// longestMonth is the days of one.
const longestMonth = 31

var againstTimes = []objection{
	{why: "several columns are days, and nothing says which of them is that of the capture",
		when: func(t *trial) bool { return t.is("eventDate") && t.partial && t.alikeTold() }},
	{why: "nothing says what %q in the heading is, and another column holds days too",
		when: func(t *trial) bool {
			return t.is("eventDate") && t.partial && t.strange() != "" && t.besideDays(func(*item) bool { return true })
		},
		figures: func(t *trial) []any { return []any{t.strange()} }},
	{why: "the heading does not say it, and another column holds days too",
		when: func(t *trial) bool {
			return t.is("eventDate") && t.weight == 0 && t.besideDays(func(o *item) bool { return o.chosen == nil && !o.later })
		}},
	{why: "letters with a number behind them may be any code, and the heading does not say that they are days",
		when: func(t *trial) bool {
			return t.is("eventDate") && t.weight == 0 && t.p.ofTexts(lettersThenNumber().MatchString) > 0.9
		}},
	{why: "as shares of a day they are hardly ever whole minutes",
		when: func(t *trial) bool {
			return t.is("eventTime") && t.p.numeric > 0.9 && t.p.within(0, 1) > 0.9 && t.p.decimals >= fewestOfDay && t.p.wholeMinutes() < 0.5
		}},
	{why: "all of them would be shortly after midnight, so that they may be durations",
		when: func(t *trial) bool {
			return t.is("eventTime") && t.p.numeric > 0.9 && t.p.filled > 5 && t.p.decimals > 0 && t.p.decimals < fewestOfDay && t.p.greatest() < 2
		}},
	{why: "another column names authors or publications, and the year may be theirs",
		when: func(t *trial) bool { return t.is("year") && t.cites() }},
	{why: "there is no column for the month",
		when: func(t *trial) bool { return t.is("day") && t.columnOf("month") < 0 }},
	{why: "one letter stands for other things too, and the rest of a date is missing",
		when: func(t *trial) bool {
			return t.is("year", "month", "day") && t.reading.letters() == 1 && (t.columnOf("year") < 0 || t.columnOf("month") < 0 || t.columnOf("day") < 0)
		}},
	{why: "nothing says that the days are those of a year",
		when: func(t *trial) bool {
			return t.is("startDayOfYear") && t.weight < generalHeading && len(t.p.values) > 0 && (t.columnOf("year") < 0 || t.p.greatest() <= longestMonth)
		}},
	{why: "only %.0f %% of the values can be times of day",
		when:    func(t *trial) bool { return t.is("eventTime") && t.p.numeric > 0.5 && t.p.ofTexts(clockLike) < 0.9 },
		figures: func(t *trial) []any { return []any{100 * t.p.ofTexts(clockLike)} }},
	{why: "there are only %d different numbers in %d rows, too few for visits",
		when: func(t *trial) bool {
			return t.is("eventID") && t.p.filled > 20 && t.p.distinct > 1 && t.p.distinct < 6 && t.p.numeric > 0.9
		}, figures: differentOfRows},
	{why: "there are only %d different texts in %d rows, too few for visits",
		when: func(t *trial) bool {
			return t.is("eventID") && t.p.filled > 20 && (t.partial && t.p.distinct < 3 || t.p.distinct <= fewKinds && t.p.ofTexts(beginsSmall) > 0.9)
		},
		figures: differentOfRows},
}

// besideDays reports whether another column that is such holds days.
func (t *trial) besideDays(such func(o *item) bool) bool {
	return slices.ContainsFunc(t.items, func(o *item) bool { return o != t.it && such(o) && t.profiles[o.columns[0]].dates > 0.8 })
}

// cites reports whether the heading of another column speaks of publications.
func (t *trial) cites() bool {
	return slices.ContainsFunc(t.items, func(o *item) bool {
		return o != t.it && t.know.hasKind(t.readings[o.columns[0]].words, citationWord)
	})
}
