package report

import (
	"slices"
	"strconv"
	"time"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/report/plot"
)

// sketch is what pictures need of a capture.
type sketch struct {
	order int    // among all captures
	hash  uint64 // of the capture's identity
	key   string
	date  string
	day   float64
	dated bool // day holds
	wrong bool // the day is called wrong

	sheet   *sheet
	row     int
	session string
	group   *group
	site    *site // nil where it has no place
	own     uint64
	cells   []rowColumn // that it was read from, besides the first 64 columns of its own row, which are bits of own

	nameAt, dateAt rowColumn
	placeAt        []rowColumn // of the terms that give the place

	readings []reading // those that are numbers
	weighed  bool
	masses   [3]rowColumn // gross, tare and net
	tare     reading
	bagged   bool // the tare is a number
	bag      string

	flags []flag
	kept  bool // of a large survey: in the sample, or chosen for an entry
}

// rowColumn is a cell of the sheet of a capture; zero for none.
type rowColumn struct{ row, column int32 }

// reading is a number that was read, or made from others.
type reading struct {
	number    float64
	text      string
	at        rowColumn
	measure   int32 // index of Gather.measured
	unit      int32 // index of Gather.units
	replicate int32
	derived   bool
}

// sketch draws a capture up. Its strings are cut from one text.
func (g *Gatherer) sketch(c *record.Capture, n *noted) *sketch {
	s := &sketch{order: g.n, hash: identity(c), sheet: n.sheet, row: c.Row, group: n.group, site: n.site}
	b := make([]byte, 0, 256)
	b = append(append(append(b, c.Key...), n.date...), c.Session...)
	usable := 0
	for i := range c.Readings {
		if r := &c.Readings[i]; r.Usable() {
			usable++
			b = append(b, r.Text...)
		}
	}
	wg := c.Weighing
	if wg != nil {
		b = append(b, wg.BagLabel...)
		if wg.Tare != nil {
			b = append(b, wg.Tare.Text...)
		}
	}
	w := words{string(b)}
	s.key, s.date, s.session = w.next(len(c.Key)), w.next(len(n.date)), w.next(len(c.Session))
	s.day, s.dated = day(s.date)
	s.wrong = c.DateWrong()
	s.readings = make([]reading, 0, usable)
	for i := range c.Readings {
		if r := &c.Readings[i]; r.Usable() {
			s.readings = append(s.readings, reading{number: r.Number, text: w.next(len(r.Text)), at: within(c, r.From()),
				measure: int32(g.measure(r.Measurement).index), unit: int32(numbered(&g.units, r.Unit)), replicate: int32(r.Replicate), derived: r.Derived})
		}
	}
	if wg != nil {
		s.weighed, s.bag = true, w.next(len(wg.BagLabel))
		for i, r := range [...]*record.Reading{wg.Gross, wg.Tare, wg.Net} {
			if r != nil {
				s.masses[i] = within(c, r.From())
			}
		}
		if t := wg.Tare; t != nil && t.Usable() {
			s.tare = reading{number: t.Number, text: w.next(len(t.Text)), at: s.masses[1]}
			s.bagged = true
		}
	}
	for k, v := range n.value {
		if v == nil {
			continue
		}
		switch at := within(c, v.From()); {
		case at.column == 0:
		case k == termName:
			s.nameAt = at
		case k == termDate:
			s.dateAt = at
		case k >= termsOfPlace:
			s.placeAt = append(s.placeAt, at)
		}
	}
	s.list(c)
	return s
}

// within returns a cell of the capture's own sheet.
func within(c *record.Capture, a record.Address) rowColumn {
	if a.File != c.File || a.Sheet != c.Sheet {
		return rowColumn{}
	}
	return rowColumn{int32(a.Row), int32(a.Column)}
}

// list notes the cells that a capture was read from.
func (s *sketch) list(c *record.Capture) {
	for row, column := range c.Origins() {
		switch {
		case row == 0 || !c.InSheet(column):
		case row == s.row && column.Column < 64:
			s.own |= 1 << column.Column
		default:
			s.cells = append(s.cells, rowColumn{int32(row), int32(column.Column)})
		}
	}
}

// has reports whether the capture was read from a cell of its sheet, among
// others.
func (s *sketch) has(at rowColumn) bool {
	return int(at.row) == s.row && at.column < 64 && s.own>>at.column&1 > 0 || slices.Contains(s.cells, at)
}

// first returns the first reading of a measurement, nil for none.
func (s *sketch) first(measure int) *reading {
	for i := range s.readings {
		if int(s.readings[i].measure) == measure {
			return &s.readings[i]
		}
	}
	return nil
}

// day is the day of a date, if it has one.
func day(date string) (float64, bool) {
	if len(date) < len(time.DateOnly) {
		return 0, false
	}
	t, err := time.Parse(time.DateOnly, date[:len(time.DateOnly)])
	return plot.DayNumber(t), err == nil
}

// identity is a number from what names a capture, the same in every run.
func identity(c *record.Capture) uint64 {
	if c.ID == "" {
		return numberOf("", c.Key, c.File, c.Sheet, strconv.Itoa(c.Row))
	}
	return numberOf(c.ID)
}

// numberOf makes a number of texts.
func numberOf(texts ...string) uint64 {
	d := digest.Start
	for _, s := range texts {
		d = d.Text(s).Byte(0xff)
	}
	return digest.Spread(uint64(d))
}
