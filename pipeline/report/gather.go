package report

import (
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/succession"
	"spadefoot/pipeline/report/findings"
)

// wholeUpTo is the number of captures up to which the page is made from all of
// them. Above it pictures, lines and middle values are from a sample, see
// sample.go, and causes are reported as far as they can be among the first, see
// page_merge.go. Counts are exact always, but for the number of causes.
const wholeUpTo = 20_000

// Asked is what the gatherer asks while the captures are at hand. Rows and
// Place are the only ways to a place: a caller that withholds places wraps
// them.
type Asked struct {
	// Rows returns the row that a finding is in; nil for none, or for one
	// that is no longer at hand. It is asked for entries that may be shown.
	Rows func(f record.Finding) []Neighbour
	// Place returns where a capture is shown on the map; nil for no map.
	Place func(c *record.Capture) (Spot, bool)
	// Measure describes a measurement by name; nil names it by its name.
	Measure func(name string) Measure
	// Whole keeps every finding of a cause as it is, however large the survey.
	Whole bool
	// Order puts names of measurements into the order of the outputs.
	Order Order
}

// Gatherer gathers what the page says of captures and findings, part by part. It
// keeps no capture: of each one in the sample a sketch.
type Gatherer struct {
	asked Asked

	tally Tally
	n     int  // captures
	large bool // more than wholeUpTo

	terms     succession.Terms // that pictures show
	sheets    map[sheetName]*sheet
	lastSheet *sheet
	groups    map[strip]*group
	taxa      map[string]*taxon
	measures  succession.Keys[string]
	measured  []*measured
	touched   []*measured // by the capture that is counted
	weighed   int         // captures with a mass
	units     succession.Keys[string]
	fields    succession.Keys[string] // that findings name
	hands     hands
	sites     sites
	days      days

	kept   []*sketch         // in the order of the captures
	doubts []*record.Finding // at warning or above, while the survey is not large
	rows   map[*record.Finding][]Neighbour
	ranked []*entry // of doubts, nil after a change
	own    *owners  // when they were ranked
	causes causes   // of a large survey
}

// NewGatherer begins to gather.
func NewGatherer(a Asked) *Gatherer {
	return &Gatherer{asked: a, terms: succession.By(pictured), sheets: map[sheetName]*sheet{}, groups: map[strip]*group{}, taxa: map[string]*taxon{}, rows: map[*record.Finding][]Neighbour{}}
}

// Add takes the next captures with the findings about them, in the order of
// the outputs. It keeps neither, nor their strings.
func (g *Gatherer) Add(captures []*record.Capture, findings []record.Finding) {
	if !g.large && g.n+len(captures) > wholeUpTo {
		g.grow()
	}
	doubts := g.note(findings)
	if g.large {
		g.addLarge(captures, doubts)
		return
	}
	for _, c := range captures {
		n := g.count(c)
		g.kept = append(g.kept, g.sketch(c, &n))
	}
	g.addDoubts(doubts)
}

// End takes the findings on the survey as a whole, which no part had, in the
// order of the outputs. Nothing is added after it.
func (g *Gatherer) End(findings []record.Finding) {
	doubts := g.note(findings)
	if g.large {
		g.endLarge(doubts)
	} else {
		g.addDoubts(doubts)
	}
	g.askBefore()
}

// note counts findings and returns those at warning or above.
func (g *Gatherer) note(findings []record.Finding) []*record.Finding {
	var doubts []*record.Finding
	for i := range findings {
		f := &findings[i]
		g.tally.Add(f)
		if f.Level >= record.Warning {
			doubts = append(doubts, f)
		}
	}
	return doubts
}

// addDoubts keeps the doubts of a survey that is not large, and asks for the
// rows of those that would be shown if nothing more came.
func (g *Gatherer) addDoubts(doubts []*record.Finding) {
	if len(doubts) == 0 {
		return
	}
	for _, f := range doubts {
		g.doubts = append(g.doubts, cloned(f))
	}
	g.ranked = nil
	es := g.entries()
	for _, e := range es[:min(len(es), maxEntries)] {
		g.askRow(e)
	}
}

// askRow asks for the row of an entry. A row that is no longer at hand stays
// as it was known, with the cells that are doubted by now.
func (g *Gatherer) askRow(e *entry) {
	if g.asked.Rows == nil {
		return
	}
	lead := e.Findings[0]
	f := *lead
	f.Also = e.cells
	if row := g.asked.Rows(f); row != nil {
		g.rows[lead] = clonedRow(around(row))
		return
	}
	for i := range g.rows[lead] {
		n := &g.rows[lead][i]
		for _, a := range e.cells {
			here := a.File == lead.At.File && a.Sheet == lead.At.Sheet && a.Row == lead.At.Row
			n.Doubtful = n.Doubtful || here && record.ColumnLetters(a.Column) == strings.TrimRight(n.Cell, "0123456789")
		}
	}
}

// Captures is the number of captures that came out of a sheet.
func (g *Gatherer) Captures(file, name string) int {
	if s := g.sheets[sheetName{file, name}]; s != nil {
		return s.n
	}
	return 0
}

// Counts are the findings by level.
func (g *Gatherer) Counts() findings.Counts { return g.tally.counts }

// Described describes a measurement, by its name where nothing more is known.
func Described(by func(string) Measure, name string) Measure {
	m := Measure{}
	if by != nil {
		m = by(name)
	}
	if m.Label == "" {
		m.Label = name
	}
	return m
}

// cloned copies a finding with one text for all its strings.
func cloned(f *record.Finding) *record.Finding {
	out := *f
	w := wordsOf(f.Rule, f.At.File, f.At.Sheet, f.Capture, f.Field, f.Value, f.Reason, f.Suggestion, f.Group, f.Reference)
	for _, to := range []*string{&out.Rule, &out.At.File, &out.At.Sheet, &out.Capture, &out.Field, &out.Value, &out.Reason, &out.Suggestion, &out.Group, &out.Reference} {
		*to = w.next(len(*to))
	}
	out.Also = clonedAddresses(f.Also, out.At)
	out.Figures = make([]record.Figure, len(f.Figures))
	for i, g := range f.Figures {
		out.Figures[i] = record.Figure{Name: strings.Clone(g.Name), Value: g.Value}
	}
	return &out
}

// clonedAddresses copies addresses, which are mostly in the file and sheet of
// the one before.
func clonedAddresses(as []record.Address, last record.Address) []record.Address {
	out := make([]record.Address, len(as))
	for i, a := range as {
		if a.File != last.File {
			last.File = strings.Clone(a.File)
		}
		if a.Sheet != last.Sheet {
			last.Sheet = strings.Clone(a.Sheet)
		}
		out[i] = record.Address{File: last.File, Sheet: last.Sheet, Row: a.Row, Column: a.Column}
	}
	return out
}

func clonedRow(row []Neighbour) []Neighbour {
	out := make([]Neighbour, len(row))
	for i, n := range row {
		out[i] = Neighbour{strings.Clone(n.Cell), strings.Clone(n.Heading), strings.Clone(n.Text), n.Doubtful, n.Mark}
	}
	return out
}

// words is one text that strings are cut from, so that a capture or a finding
// costs one allocation for all of its strings.
type words struct{ rest string }

func wordsOf(parts ...string) *words { return &words{strings.Join(parts, "")} }

// next cuts the next n bytes off.
func (w *words) next(n int) string {
	s := w.rest[:n]
	w.rest = w.rest[n:]
	return s
}
