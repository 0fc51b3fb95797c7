package normalise

import (
	"strconv"
	"strings"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/place"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// columns is what can only be told from whole columns, and what is worked out
// once for all rows.
type columns struct {
	decimal []byte           // decimal mark per column, 0 where none was seen
	written []written        // how the numbers of each column are written otherwise
	order   []calendar.Order // order of day and month per column
	packed  []bool           // whether the days of a column have six digits
	circle  []bool           // whether the longitudes of a column go up to 360
	first   int              // years of the survey
	last    int
	long    bool
	name    int   // the column with the names of measurements, -1 for none
	values  []int // the columns that hold what is named there
	// clock reads numbers among times that are no hours and minutes, or is nil.
	clock func(string) (calendar.Time, bool)
	plan  *plan

	times  *memo[string, *calendar.Time]
	places *memo[placeCells, *placed]
	ways   ways
	names  *memo[string, *named]
	sites  *memo[string, *foundSite]
}

// written is how the numbers of a column are written.
type written struct {
	part    float64 // finest fraction, 0 where none was seen
	letters string  // that are marks of the team's own behind numbers
	zeros   bool    // they are rare
	decimal byte    // mark that they show themselves, 0 for none
}

// placeCells is all that the reading of a place goes by.
type placeCells struct {
	latitude, longitude, pair string
	options                   int // the number of the way in which they are read
}

// placed is a place that was read, with the texts that are made of it.
type placed struct {
	place.Point
	uncertainty word
	said        []word
}

func (x *Context) placed(p place.Point) *placed {
	return &placed{p, x.word(said{tCoordinateUncertainty, p.UncertaintyText()}), x.numbered(
		said{tDecimalLatitude, p.LatText}, said{tDecimalLongitude, p.LonText}, said{tGeodeticDatum, place.GeodeticDatum},
		said{tCoordinatePrecision, p.PrecisionText()}, said{tVerbatimCoordinateSystem, p.System}, said{tVerbatimSRS, p.SRS},
	)}
}

// foundSite is what the table of sites says of a name.
type foundSite struct {
	site     *place.Site
	at       *placed
	problems []record.Problem
}

// gather reads every column once for its decimal mark or its date order, from
// what was written before remedies.
func gather(t *record.Table, x *Context) *columns {
	cs := &columns{decimal: make([]byte, len(t.Columns)), written: make([]written, len(t.Columns)), order: make([]calendar.Order, len(t.Columns)), packed: make([]bool, len(t.Columns)), circle: make([]bool, len(t.Columns))}
	cs.first, cs.last, cs.name = x.First.Year, x.Last.Year, -1
	cs.named(t)
	for i := range t.Columns {
		m := t.Columns[i].Meaning
		switch {
		case m.Role == record.Measurement || m.Role == record.WeighPart || m.Role == record.ValueColumn:
			cs.decimal[i], cs.written[i] = marksOf(t, i, m)
		case m.Role == record.Term && (isDate(m.Term) || m.Term == "verbatimEventDate"):
			cs.order[i], cs.packed[i] = orderOf(t, i, m)
		case m.Role == record.Term && m.Term == "eventTime":
			if clock := clockOf(t, i); clock != nil {
				cs.clock = clock
			}
		case m.Role == record.Term && isNumber(m.Term):
			cs.decimal[i], cs.written[i] = marksOf(t, i, m)
		}
		if m.Term == "decimalLongitude" || m.Term == "verbatimLongitude" {
			cs.circle[i] = isFullCircle(t, i)
		}
	}
	cs.share(t)
	cs.plan = newPlan(t, x, cs)
	cs.plan.resolve(t, x, cs)
	cs.times, cs.names = newMemo[string, *calendar.Time](maxDates), newMemo[string, *named](maxNames)
	cs.places = newMemo[placeCells, *placed](maxPlaces)
	cs.sites = newMemo[string, *foundSite](maxNames)
	return cs
}

// named finds the columns of a table with one row per measurement: that of the
// names, that of the values, and those that values were moved to.
func (cs *columns) named(t *record.Table) {
	for i := range t.Columns {
		switch t.Columns[i].Meaning.Role {
		case record.NameColumn:
			cs.name, cs.long = i, true
		case record.ValueColumn:
			cs.values = append(cs.values, i)
		}
	}
	if cs.long && len(cs.values) > 0 {
		for i := range t.Columns {
			if c := &t.Columns[i]; c.Meaning.Role == record.Term && c.Number == t.Columns[cs.values[0]].Number {
				cs.values = append(cs.values, i)
			}
		}
	}
}

// share returns a column whose own numbers do not tell the decimal mark that
// every other column of the table shows.
func (cs *columns) share(t *record.Table) {
	var mark byte
	for i := range cs.decimal {
		switch {
		case cs.decimal[i] == 0 || mark == cs.decimal[i]:
		case mark == 0:
			mark = cs.decimal[i]
		default:
			return // the table mixes marks: each column for itself
		}
	}
	for i := range cs.decimal {
		if cs.decimal[i] == 0 {
			cs.decimal[i] = mark
		}
	}
}

// marksOf returns the decimal mark of a column and how its numbers are written
// otherwise.
func marksOf(t *record.Table, i int, m record.Meaning) (decimal byte, w written) {
	var e quantity.Evidence
	var zeros quantity.Zeros
	for r := range t.Rows {
		text, kind := t.Rows[r].Cells[i].Original()
		if zeros.Add(text); kind != record.Number {
			e.Add(text)
		}
	}
	if decimal, _ = e.Decimal(); m.Decimal != "" {
		decimal = m.Decimal[0]
	}
	return decimal, written{e.Part(), e.Letters(), zeros.Rare(), decimal}
}

// minBeyond is how many longitudes beyond 180 show that a column goes up to 360.
const minBeyond = 5

// isFullCircle reports whether the longitudes of a column seem to go up to 360: some are
// beyond 180, and none has a sign or a letter.
func isFullCircle(t *record.Table, i int) bool {
	beyond := 0
	for r := range t.Rows {
		text, _ := t.Rows[r].Cells[i].Original()
		v, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(text), ",", ".", 1), 64)
		switch {
		case err != nil && strings.ContainsAny(text, "0123456789"), v < 0:
			return false
		case v > 180 && v <= 360:
			beyond++
		}
	}
	return beyond >= minBeyond
}

// orderOf returns the order of the dates of a column, and whether they are days of
// six digits.
func orderOf(t *record.Table, i int, m record.Meaning) (order calendar.Order, packed bool) {
	var e calendar.Evidence
	for r := range t.Rows {
		if text, kind := t.Rows[r].Cells[i].Original(); kind != record.Date {
			e.Add(text)
		}
	}
	if order = calendar.ParseOrder(m.DateOrder); order == calendar.Unknown {
		order, _ = e.Decide(calendar.Unknown)
	}
	return order, e.SixDigits()
}

// clockOf returns what reads the numbers in a column of times that are no hours and
// minutes. They are parts of a day where they stand beside times that are written
// as such, or are all below 1; hours with the tens of minutes where all have three
// digits and some are no time otherwise; and minutes after midnight where the
// others are hours and minutes, and some are more than a day has hours.
func clockOf(t *record.Table, i int) func(string) (calendar.Time, bool) {
	n, parts, tens, untimely, timely, minutes, most := 0, 0, 0, 0, 0, 0, 0
	for r := range t.Rows {
		text, kind := t.Rows[r].Cells[i].Original()
		if strings.TrimSpace(text) == "" {
			continue
		}
		if kind == record.Date || strings.Contains(text, ":") {
			return calendar.ParseDayFraction
		}
		n++
		timed := calendar.ParseTime(text).ISO != ""
		if _, ok := calendar.ParseDayFraction(text); ok {
			parts++
		} else if _, ok := calendar.ParseTens(text); ok {
			tens++
			if !timed {
				untimely++
			}
		}
		if c, ok := calendar.ParseMinutes(text); ok {
			minutes++
			most = max(most, c.Start.Minute)
		} else if timed {
			timely++
		}
		if max(parts, tens, timely+minutes) < n {
			return nil
		}
	}
	switch {
	case untimely > 0 && tens == n:
		return calendar.ParseTens
	case parts > 0 && max(parts, tens) == n:
		return calendar.ParseDayFraction
	case timely > minutes && most > lastHour:
		return calendar.ParseMinutes
	}
	return nil
}

// lastHour is the last hour of a day.
const lastHour = 23

func isDate(term string) bool {
	switch term {
	case "eventDate", "dateIdentified", "georeferencedDate", "measurementDeterminedDate", "modified":
		return true
	}
	return false
}

// isNumber lists terms whose values are numbers (Darwin Core quick reference).
func isNumber(term string) bool {
	switch term {
	case "individualCount", "coordinateUncertaintyInMeters", "coordinatePrecision", "sampleSizeValue",
		"organismQuantity", "minimumDepthInMeters", "maximumDepthInMeters",
		"minimumElevationInMeters", "maximumElevationInMeters", "minimumDistanceAboveSurfaceInMeters",
		"maximumDistanceAboveSurfaceInMeters", "year", "month", "day", "startDayOfYear":
		return true
	}
	return false
}
