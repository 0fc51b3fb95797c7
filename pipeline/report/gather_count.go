package report

import (
	"cmp"
	"strings"

	"spadefoot/pipeline/record"
)

// Names of terms and headings come in any number when a column is mapped
// wrongly; above so many of a kind a large survey counts no more of them.
const (
	maxGroups = 4096
	maxNames  = 2048
)

type sheetName struct{ file, name string }

// sheet is one sheet with what came out of it.
type sheet struct {
	stratum
	sheetName
	n     int // captures
	first int // the order of the first of them
	tares int
	own   bool // bags were weighed here, not one for all
}

// taxon is a recorded name.
type taxon struct {
	stratum
	name    string
	counted bool // as a name of its own
	n       int
	pairs   []int // captures with a length, by measure, and a mass
	sizes   []int // captures with a length or mass, by measure
}

// group is a taxon, life stage and sex.
type group struct {
	stratum
	strip
	of    *taxon
	n     int
	first []int // captures with a reading, by measure
}

// measured is a measurement that was taken.
type measured struct {
	stratum
	name  string
	index int
	Measure
	taken  int // captures in which a person took it, or the mass of the animal
	sized  int // captures with a mass that have this length
	paired int // captures that have it twice

	capture         int // the one that is counted, from 1
	taking, sizing  bool
	least, ofLeast  int // the lowest number of a repeat, and how many have it
	times           int
	firstIsPositive bool
}

// count counts a capture.
func (g *Gatherer) count(c *record.Capture) noted {
	g.n++
	n := noted{sheet: g.sheetAt(c.File, c.Sheet)}
	if n.sheet.n == 0 {
		n.sheet.first = g.n
	}
	n.sheet.n++
	for i, k := range g.terms.Of(c) {
		if k >= 0 && n.value[k] == nil {
			n.value[k] = &c.Values[i]
		}
	}
	n.date = n.text(termDate)
	n.group = g.groupAt(strip{n.text(termName), n.text(termStage), n.text(termSex)})
	n.group.n++
	n.group.of.n++
	g.countReadings(c, n.group, cmp.Or(n.text(termDeterminedBy), n.text(termRecordedBy)))
	if w := c.Weighing; w != nil && w.Tare != nil && w.Tare.Usable() {
		n.sheet.tares++
		n.sheet.own = n.sheet.own || w.Way == record.SameRow || w.Way == record.BagTable
	}
	if g.asked.Place != nil {
		if spot, ok := g.asked.Place(c); ok && spot.Latitude == spot.Latitude && spot.Longitude == spot.Longitude {
			n.site = g.sites.at(spot, g.large)
		}
	}
	return n
}

// countReadings counts what pictures there will be marks for.
func (g *Gatherer) countReadings(c *record.Capture, by *group, observer string) {
	hand := g.hands.of(observer)
	g.touched = g.touched[:0]
	for i := range c.Readings {
		r := &c.Readings[i]
		m := g.measure(r.Measurement)
		if r.State == record.Measured && !r.Derived && m.Kind == "length" && hand != nil {
			hand.with(r.Instrument).take(r)
		}
		if !r.Usable() {
			continue
		}
		if m.capture != g.n {
			m.capture, m.times, m.taking, m.sizing = g.n, 0, false, false
			m.firstIsPositive = r.Number > 0
			g.touched = append(g.touched, m)
		}
		m.take(r)
	}
	mass := g.massIn()
	if mass != nil {
		g.weighed++
	}
	heavy := mass != nil && mass.firstIsPositive
	for _, m := range g.touched {
		by.first = plusOne(by.first, m.index)
		if m.taking {
			m.taken++
		}
		if m.times > 1 && m.ofLeast == 1 {
			m.paired++
		}
		if m.sizing && mass != nil {
			m.sized++
		}
		if m.sizing || m == mass && heavy {
			by.of.sizes = plusOne(by.of.sizes, m.index)
		}
		if m.firstIsPositive && heavy {
			by.of.pairs = plusOne(by.of.pairs, m.index)
		}
	}
}

// massIn is the mass of the animal, where the capture that is counted has one.
func (g *Gatherer) massIn() *measured {
	for _, m := range g.touched {
		if m.name == bodyMass {
			return m
		}
	}
	return nil
}

// take notes a number of the capture that is counted.
func (m *measured) take(r *record.Reading) {
	m.times++
	m.taking = m.taking || !r.Derived || r.Measurement == bodyMass
	m.sizing = m.sizing || r.Number > 0 && m.Kind == "length"
	switch {
	case m.times == 1 || r.Replicate < m.least:
		m.least, m.ofLeast = r.Replicate, 1
	case r.Replicate == m.least:
		m.ofLeast++
	}
}

// plusOne counts by index, in a list as long as it has to be.
func plusOne(counts []int, i int) []int {
	for len(counts) <= i {
		counts = append(counts, 0)
	}
	counts[i]++
	return counts
}

func countAt(counts []int, i int) int {
	if i >= len(counts) {
		return 0
	}
	return counts[i]
}

func (g *Gatherer) measure(name string) *measured {
	i := g.measures.Find(name)
	if i < 0 {
		i = g.measures.Add(strings.Clone(name))
		g.measured = append(g.measured, &measured{stratum: everyone(), name: g.measures.All[i], index: i, Measure: Described(g.asked.Measure, g.measures.All[i])})
	}
	return g.measured[i]
}

func (g *Gatherer) sheetAt(file, name string) *sheet {
	if s := g.lastSheet; s != nil && s.file == file && s.name == name {
		return s
	}
	key := sheetName{file, name}
	s := g.sheets[key]
	if s == nil {
		key = sheetName{strings.Clone(file), strings.Clone(name)}
		s = &sheet{stratum: everyone(), sheetName: key}
		g.sheets[key] = s
	}
	g.lastSheet = s
	return s
}

func (g *Gatherer) groupAt(by strip) *group {
	if gr := g.groups[by]; gr != nil {
		return gr
	}
	of := g.taxa[by.taxon]
	if of == nil {
		of = &taxon{name: strings.Clone(by.taxon)}
		if !g.large || len(g.taxa) < maxNames {
			of.stratum, of.counted, g.taxa[of.name] = everyone(), true, of
		}
	}
	by = strip{of.name, strings.Clone(by.stage), strings.Clone(by.sex)}
	gr := &group{strip: by, of: of}
	if !g.large || len(g.groups) < maxGroups && g.taxa[of.name] == of {
		gr.stratum, g.groups[by] = everyone(), gr
	}
	return gr
}
