package normalise

import (
	"cmp"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// How many different texts are remembered of one kind. What is beyond is read
// every time it comes.
const (
	maxWords    = 4096 // of a column
	maxReadings = 2048 // of a column
	maxDates    = 8192 // of a column
	maxPlaces   = 8192
	maxNames    = 4096
	maxFields   = 4096
	maxLists    = 1024 // of terms
	maxWays     = 256  // ways in which the places of a table are to be read
)

// plan is what is worked out of a table once, for all of its rows.
type plan struct {
	*slots
	defaults, key, session, scope []slot
	remarks                       slot
	columns                       []*column
	plain                         []int   // columns of terms that stand for themselves
	dates                         []int   // of dates
	measured                      []int   // of measurements, and of values that have their name beside them
	parts                         []int   // of weighings
	unmatched                     []int   // that nothing matched
	by                            [][]int // columns of each term
	numbered                      []int   // column by its number in the sheet, -1 for none
	joins                         []bool  // by term: several columns may fill it, joined
	zone                          string  // UTM zone that the headings of coordinates give
	parted                        bool    // a coordinate has a column for each of its parts
	takers                        []slot  // terms that say who took the readings of a row
	bagged                        bool    // a column of tares has bags that weigh something
	absences                      bool    // a column or default may say that nothing was found
	timed                         bool    // one may say at what time
	beside                        []besideTerm
	fields                        *memo[termIn, *record.Field]
	series                        *memo[record.Series, *record.Series]
	lists                         *memo[string, *record.Names] // of the terms of rows, by their slots
	tare                          *record.Reading              // of a whole session
	long                          map[longKind]resolution      // where each row is one measurement
}

// column is what is worked out of one column.
type column struct {
	*record.Column
	slot  slot
	group group
	words *vocabulary.List
	found *memo[string, *foundWord]
	dates *memo[string, *day]
	read  measured

	people bool // it names people
}

// foundWord is what a vocabulary says of a text.
type foundWord struct {
	word    word
	ok      bool
	problem *record.Problem
	several []said // what it says where it says something of other terms
}

// measured is what all readings of a column have in common.
type measured struct {
	meaning record.Meaning
	heading string
	plain   *quantity.Column // for texts
	stored  *quantity.Column // for numbers of a workbook
	usual   *record.Series   // of its plain readings
	same    bool             // the column is in the unit that is published
	repeats record.Repeats   // of the measurement
	resolution
	known *memo[string, *known]
}

// known is the reading of one text.
type known struct {
	reading  record.Reading
	second   *quantity.Quantity
	remark   string
	problems []record.Problem
}

func newPlan(t *record.Table, x *Context, cs *columns) *plan {
	p := &plan{slots: newSlots(), columns: make([]*column, len(t.Columns)),
		fields: newMemo[termIn, *record.Field](maxFields), series: newMemo[record.Series, *record.Series](maxFields), lists: newMemo[string, *record.Names](maxLists),
		tare: sessionTare(x)}
	p.key, p.session, p.scope = p.all(x.Key), p.all(x.Session), p.all(x.Marks)
	p.remarks = p.slot(x.RemarksTerm)
	p.takers = p.all([]string{"measurementDeterminedBy", "recordedBy"})
	for _, d := range x.Defaults {
		s := p.slot(d.Term)
		p.defaults = append(p.defaults, s)
		p.note(s)
	}
	p.addBeside(x)
	for i := range t.Columns {
		p.add(t, i, x, cs)
	}
	p.by, p.joins = make([][]int, len(p.names)), make([]bool, len(p.names))
	for i, c := range p.columns {
		if c.Meaning.Role == record.Term {
			p.by[c.slot] = append(p.by[c.slot], i)
			p.joins[c.slot] = x.Joined == nil || x.Joined(c.Meaning.Term)
			p.zone = cmp.Or(p.zone, c.Meaning.Zone)
		}
	}
	p.number(t)
	return p
}

// add takes up column i.
func (p *plan) add(t *record.Table, i int, x *Context, cs *columns) {
	from := &t.Columns[i]
	c := &column{Column: from}
	p.columns[i] = c
	switch m := from.Meaning; m.Role {
	case record.Unmatched:
		p.unmatched = append(p.unmatched, i)
	case record.Term:
		p.addTerm(i, c, x)
	case record.Measurement, record.ValueColumn:
		p.measured = append(p.measured, i)
		if m.Role == record.Measurement {
			c.read = newMeasured(t, from, x, cs.decimal[i], cs.written[i])
		}
	case record.WeighPart:
		p.parts = append(p.parts, i)
		c.read = newMeasured(t, from, x, cs.decimal[i], cs.written[i])
	}
}

func (p *plan) addTerm(i int, c *column, x *Context) {
	c.slot = p.slot(c.Meaning.Term)
	c.group = groupOf(c.Meaning.Term, x)
	c.people = ofPeople(c.Meaning.Term)
	p.note(c.slot)
	p.parted = p.parted || c.Meaning.Angle != ""
	if c.group == dateTerm || c.slot == tVerbatimEventDate {
		c.dates = newMemo[string, *day](maxDates)
	}
	switch c.group {
	case dateTerm:
		p.dates = append(p.dates, i)
	case plainTerm, wordTerm, numberTerm, datePartTerm, elevationTerm:
		p.plain = append(p.plain, i)
		c.words = x.Words[c.Meaning.Term]
		c.found = newMemo[string, *foundWord](maxWords)
	}
}

// note remembers that a term may be stated for which rows are looked over.
func (p *plan) note(s slot) {
	switch s {
	case tOccurrenceStatus, tIndividualCount, tOrganismQuantity, tScientificName:
		p.absences = true
	case tEventTime:
		p.timed = true
	}
}

// newMeasured prepares for the readings of a column.
func newMeasured(t *record.Table, from *record.Column, x *Context, decimal byte, w written) measured {
	m := from.Meaning
	if m.Role == record.WeighPart && m.Instrument == "" {
		m.Instrument = x.Weighing.Scale
	}
	out := measured{meaning: m, heading: from.Heading, known: newMemo[string, *known](maxReadings)}
	o := out.options(decimal, w)
	out.plain = quantity.NewColumn(o)
	o.Decimal = '.'
	out.stored = quantity.NewColumn(o)
	if m.Role == record.Measurement {
		for _, s := range x.Repeats {
			if s.Measurement == m.Measurement {
				out.repeats = append(out.repeats, s)
			}
		}
	}
	unit := unitOf(m, x)
	out.same = m.Unit == "" || m.Unit == unit
	usual := out.series(unit, m.Unit)
	usual.Guessed, usual.Comma, usual.Column = m.Guessed, decimal == ',', record.Address{File: t.File, Sheet: t.Sheet, Column: from.Number}
	out.usual = &usual
	return out
}

// options say how the cells of the column are read.
func (m *measured) options(decimal byte, w written) quantity.Options {
	unit := m.meaning.Unit
	o := quantity.Options{Decimal: decimal, Unit: unit, Heading: m.heading, Part: w.part, Letters: w.letters, ZeroMissing: m.meaning.ZeroMissing, Want: quantity.Dimension(unit)}
	if least, known := vocabulary.Least(m.meaning.Measurement); known {
		o.NotNegative = least >= 0
		o.NotZero = least > 0 && w.zeros && (o.Want == "length" || o.Want == "mass")
	}
	return o
}

// compass is the letter that the coordinates of a term have from its heading.
func (p *plan) compass(s slot) string {
	for _, i := range p.by[s] {
		return p.columns[i].Meaning.Compass
	}
	return ""
}
