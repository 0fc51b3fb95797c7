package undecided

import (
	"cmp"
	"slices"

	"spadefoot/pipeline/record"
)

// Cells are cells with an error.
type Cells struct {
	at   map[record.Address]doubt
	rows map[int]bool // of them, in any sheet
	runs []run
}

// run is a run of cells with an error.
type run struct {
	record.Run
	doubt
}

// doubt is the error on a cell. Told at another cell of the same cause it says
// less: a tare taken once for many animals is not in doubt because one of them
// does not go with it.
type doubt struct {
	rule   string
	beside bool
}

// identity is the field of findings on what names a capture. They say nothing
// against the date or place that its name is made of.
const identity = "key"

// Unfit is the rule of a value that its term cannot hold. It is left out by
// itself, and the rest of what the row states stays.
const Unfit = "value-unfit"

// MarkUnfit marks a value that its term cannot hold, whatever was decided: one of
// them would keep the whole archive from its proof.
func MarkUnfit(v *record.Value) {
	if v.Undecided == "" {
		v.Vary(func(f *record.Field) { f.Undecided = Unfit })
	}
}

// Add takes the errors among findings that are of cells.
func (cs *Cells) Add(fs []record.Finding) {
	for i := range fs {
		f := &fs[i]
		if f.Level != record.Error || f.Field == identity || f.Rule == Unfit {
			continue
		}
		cs.add(f.At, doubt{rule: f.Rule})
		for _, at := range f.Also {
			cs.add(at, doubt{f.Rule, true})
		}
		for _, r := range f.Runs {
			if r.Column > 0 {
				cs.runs = append(cs.runs, run{r, doubt{f.Rule, true}})
			}
		}
	}
}

func (cs *Cells) add(at record.Address, d doubt) {
	if at.Row == 0 || at.Column == 0 {
		return
	}
	if cs.at == nil {
		cs.at, cs.rows = map[record.Address]doubt{}, map[int]bool{}
	}
	cs.rows[at.Row] = true
	if old, there := cs.at[at]; !there || old.beside && !d.beside {
		cs.at[at] = d
	}
}

// Empty reports whether there are none.
func (cs *Cells) Empty() bool { return len(cs.at) == 0 && len(cs.runs) == 0 }

// inRow reports whether there are any in a row of some sheet.
func (cs *Cells) inRow(row int) bool {
	return cs.rows[row] || slices.ContainsFunc(cs.runs, func(r run) bool { return r.Row <= row && row <= r.Last })
}

func (cs *Cells) of(at record.Address) (doubt, bool) {
	if d, there := cs.at[at]; there {
		return d, true
	}
	for i := range cs.runs {
		if cs.runs[i].Holds(at) {
			return cs.runs[i].doubt, true
		}
	}
	return doubt{}, false
}

// Marker marks the values of one capture after the other that are undecided. It is
// for one goroutine.
type Marker struct {
	cells []*Cells
	row   int  // the one that was looked at last
	any   bool // it has cells with an error, in some sheet
}

// NewMarker returns one that goes by sets of cells with an error, the first that has a
// cell.
func NewMarker(cells ...*Cells) *Marker {
	return &Marker{cells: slices.DeleteFunc(slices.Clone(cells), (*Cells).Empty)}
}

// inRow reports whether there are any in a row of some sheet. Most rows have none, and
// a capture has nearly all of its cells in one row.
func (m *Marker) inRow(row int) bool {
	if row != m.row {
		m.row = row
		m.any = slices.ContainsFunc(m.cells, func(cs *Cells) bool { return cs.inRow(row) })
	}
	return m.any
}

// of returns the error on a cell.
func (m *Marker) of(at record.Address) (doubt, bool) {
	for _, cs := range m.cells {
		if d, there := cs.of(at); there {
			return d, true
		}
	}
	return doubt{}, false
}

// Mark marks the values of a capture that are undecided.
func (m *Marker) Mark(c *record.Capture) {
	if len(m.cells) > 0 {
		m.markValues(c)
		m.markReadings(c)
	}
}

// statements are terms of which one says nothing without the others. Verbatim
// coordinates are among them, since portals read them where there are no others.
var statements = [][]string{
	{"eventDate", "year", "month", "day", "startDayOfYear", "endDayOfYear"},
	{"eventTime"}, {"dateIdentified"}, {"measurementDeterminedDate"}, {"georeferencedDate"},
	{"decimalLatitude", "decimalLongitude", "geodeticDatum", "coordinateUncertaintyInMeters", "coordinatePrecision", "pointRadiusSpatialFit",
		"verbatimLatitude", "verbatimLongitude", "verbatimCoordinates", "verbatimCoordinateSystem", "verbatimSRS"},
	{"minimumElevationInMeters", "maximumElevationInMeters", "verticalDatum"},
	{"minimumDepthInMeters", "maximumDepthInMeters"},
	{"minimumDistanceAboveSurfaceInMeters", "maximumDistanceAboveSurfaceInMeters"},
}

// statementOf numbers the statement of each term.
var statementOf = func() map[string]int {
	out := map[string]int{}
	for i, terms := range statements {
		for _, term := range terms {
			out[term] = i
		}
	}
	return out
}()

// markValues marks dates and positions, each whole.
func (m *Marker) markValues(c *record.Capture) {
	var rules map[int]string
	for i := range c.Values {
		v := &c.Values[i]
		if !m.inRow(int(v.Row)) {
			continue
		}
		d, doubted := m.of(v.From())
		if !doubted {
			continue
		}
		if n, stated := statementOf[v.Term]; stated {
			if rules == nil {
				rules = map[int]string{}
			}
			if rules[n] == "" {
				rules[n] = d.rule
			}
		}
	}
	if rules == nil {
		return
	}
	for i := range c.Values {
		v := &c.Values[i]
		if n, stated := statementOf[v.Term]; stated && rules[n] != v.Undecided {
			v.Vary(func(f *record.Field) { f.Undecided = rules[n] })
		}
	}
}

// markReadings marks the readings, those of the weighing among them, then what
// was computed from them.
func (m *Marker) markReadings(c *record.Capture) {
	body, mass := "", ""
	for i := range c.Readings {
		if r := &c.Readings[i]; !r.Derived {
			body = cmp.Or(body, m.mark(r, true))
		}
	}
	if g := c.Weighing; g != nil {
		mass = cmp.Or(m.mark(g.Gross, true), m.mark(g.Tare, g.Way == record.SameRow))
		if g.Net != nil && g.Net.Derived {
			undecide(g.Net, mass)
		} else {
			m.mark(g.Net, true)
		}
	}
	for i := range c.Readings {
		switch r := &c.Readings[i]; {
		case !r.Derived:
		case r.From().File != "": // a mass, at the cell of the gross
			undecide(r, mass)
		default:
			undecide(r, cmp.Or(body, mass))
		}
	}
}

// mark marks a reading and returns the rule that it is undecided by, or "".
func (m *Marker) mark(r *record.Reading, own bool) string {
	if r == nil || r.State == record.Missing {
		return ""
	}
	if m.inRow(int(r.Row)) {
		if d, doubted := m.of(r.From()); doubted && (own || !d.beside) {
			undecide(r, d.rule)
		}
	}
	return r.Undecided
}

func undecide(r *record.Reading, rule string) {
	if r.Undecided != rule {
		r.Vary(func(s *record.Series) { s.Undecided = rule })
	}
}

// Count is the number of values that are marked in a capture. A reading that
// is in the weighing and among the readings counts once.
func Count(c *record.Capture) int {
	n := 0
	for i := range c.Values {
		if c.Values[i].Undecided != "" && c.Values[i].Verbatim != "" {
			n++
		}
	}
	for i := range c.Readings {
		if c.Readings[i].Undecided != "" {
			n++
		}
	}
	for r := range c.Weighing.Readings() {
		if r.Undecided != "" && !slices.ContainsFunc(c.Readings, func(o record.Reading) bool { return o.Measurement == r.Measurement && o.SameCell(r) }) {
			n++
		}
	}
	return n
}
