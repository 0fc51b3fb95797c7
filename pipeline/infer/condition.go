package infer

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/statistics"
)

// ConditionGroup is a taxon, life stage and sex. The groups of a species share
// one line and one standard length, so that their indices can be compared.
type ConditionGroup struct {
	Name    string              // "Lithobates clamitans, adult, male"
	Axis    statistics.BodyAxis // of the species
	Missing string              // why there is no index; then Axis is empty
	Few     bool                // it has few of the animals that tell the line

	species, massUnit string
	at                record.Address // sheet of the first capture
	n                 int            // captures with length and mass
	clean             int            // of them, those that tell the line
	counts            [doubts]int    // of them, by doubt
	units             []unitPair
	bodies            choice[body] // those without doubt, or 20,000 of them

	line string       // what the line is, for the methods
	rare *record.Rare // of readings that come from it
}

// unitPair are the units of length and mass, and how many captures without
// doubt are measured in them.
type unitPair struct {
	Length, Mass string
	N            int
}

func (u unitPair) String() string { return u.Length + " and " + u.Mass }

// body is one animal with length and mass, as far as a line is fitted to it.
type body struct {
	hash         uint64 // of its identity
	length, mass float64
	n            uint32 // number of the capture
	units        uint16 // index
}

func (b body) rank() uint64 { return b.hash }

func (b body) compare(o body) int { return cmp.Compare(b.n, o.n) }

// conditions are the groups of a survey.
type conditions struct {
	groups    []*ConditionGroup
	byName    map[string]int
	byLineage map[lineageSex]int
}

type lineageSex struct {
	lineage *lineage
	sex     string
}

// group returns the index of the group of a lineage and sex.
func (cs *conditions) group(k *lineage, sex string) int {
	if i, ok := cs.byLineage[lineageSex{k, sex}]; ok {
		return i
	}
	if cs.byLineage == nil {
		cs.byLineage = map[lineageSex]int{}
	}
	i := cs.named(strings.Join([]string{k.species, known(k.lifeStage, "stage unknown"), known(sex, "sex unknown")}, ", "), k.species)
	if k.kept && len(cs.byLineage) < maxLineages {
		cs.byLineage[lineageSex{k, strings.Clone(sex)}] = i
	}
	return i
}

// named returns the index of the group with a name.
func (cs *conditions) named(name, species string) int {
	i, ok := cs.byName[name]
	if !ok {
		if cs.byName == nil {
			cs.byName = map[string]int{}
		}
		i = len(cs.groups)
		cs.groups = append(cs.groups, &ConditionGroup{Name: name, species: strings.Clone(species)})
		cs.byName[name] = i
	}
	return i
}

func known(value, otherwise string) string {
	if value == "" || value == Undetermined {
		return otherwise
	}
	return value
}

// massed is the length and the mass of one capture.
type massed struct{ length, mass measured }

// massedOf is false of an animal without either.
func (s *Settings) massedOf(t *taken) (m massed, ok bool) {
	if m.length, ok = t.measurement(s.ConditionLength); !ok {
		return m, false
	}
	m.mass, ok = t.mass(s.ConditionMass)
	return m, ok
}

// doubtOf says why a capture must not get an index and not shape the line, by
// what was recorded of it.
func (m *massed) doubtOf(said *clues, k *lineage) doubt {
	switch {
	case !k.sure:
		return nameDoubt
	case m.length.Doubtful || m.mass.Doubtful:
		return readingDoubt
	case !(m.length.Value > 0) || !(m.mass.Value > 0):
		return sizeDoubt
	case strings.EqualFold(said.reproductive(), "gravid"):
		return gravidDoubt
	case strings.EqualFold(said.vitality, "dead"):
		return deadDoubt
	}
	return noDoubt
}

// weighed is what a line needs of one capture.
type weighed struct {
	Length, Mass         float64
	LengthUnit, MassUnit string
}

func (m *massed) weighed() weighed {
	return weighed{m.length.Value, m.mass.Value, m.length.Unit, m.mass.Unit}
}

// add takes a capture with length and mass into the group.
func (g *ConditionGroup) add(c *record.Capture, m weighed, n int, d doubt, most int) {
	g.at = earlier(g.at, c)
	g.n++
	g.counts[d]++
	if d != noDoubt {
		return
	}
	u := g.unitsOf(m)
	g.units[u].N++
	g.bodies.offer(body{identityOf(c.ID).hash(), m.Length, m.Mass, uint32(n), uint16(u)}, most)
}

func (g *ConditionGroup) unitsOf(m weighed) int {
	for i, u := range g.units {
		if u.Length == m.LengthUnit && u.Mass == m.MassUnit {
			return i
		}
	}
	g.units = append(g.units, unitPair{Length: strings.Clone(m.LengthUnit), Mass: strings.Clone(m.MassUnit)})
	return len(g.units) - 1
}

// redoubt changes the doubt of one capture that the group has counted.
func (g *ConditionGroup) redoubt(m weighed, from, to doubt) {
	g.counts[from]--
	g.counts[to]++
	if from == noDoubt {
		g.units[g.unitsOf(m)].N--
	}
}

// fitSpecies fits one line to the animals of all groups of a species. Captures that
// are gone do not count.
func fitSpecies(groups []*ConditionGroup, s *Settings, gone map[uint32]bool, most int) {
	least := max(s.ConditionLeast, 3)
	var length, mass []float64
	for _, g := range groups {
		g.bodies.trim(most)
		bodies := slices.DeleteFunc(g.bodies.items, func(b body) bool { return gone[b.n] })
		g.bodies = choice[body]{}
		g.clean = len(bodies)
		g.Few = g.clean < least
		for _, b := range bodies {
			length, mass = append(length, b.length), append(mass, b.mass)
		}
	}
	units := unitsIn(groups)
	axis, missing := lineOf(length, mass, units, s)
	for _, g := range groups {
		if g.Missing = missing; missing == "" {
			g.Axis, g.massUnit = axis, units[0].Mass
			g.describe(units[0].Length)
		}
	}
}

// lineOf fits the line, or says why there is none.
func lineOf(length, mass []float64, units []unitPair, s *Settings) (axis statistics.BodyAxis, missing string) {
	least := max(s.ConditionLeast, 3)
	if len(units) > 1 {
		return axis, "units differ: " + units[0].String() + ", " + units[1].String()
	}
	if len(length) < least {
		return axis, fmt.Sprintf("undoubted captures of the species: %d, want %d", len(length), least)
	}
	axis, err := statistics.FitBodyAxis(length, mass, 0.95)
	if err != nil {
		return axis, err.Error()
	}
	if axis.Correlation < s.ConditionCorrelation {
		return axis, fmt.Sprintf("mass hardly correlates with length: r = %.2f, want %.2f", axis.Correlation, s.ConditionCorrelation)
	}
	return axis, ""
}

// unitsIn lists the units that captures without doubt are measured in, most
// common first.
func unitsIn(groups []*ConditionGroup) []unitPair {
	var out []unitPair
	for _, g := range groups {
		for _, u := range g.units {
			at := slices.IndexFunc(out, func(o unitPair) bool { return o.Length == u.Length && o.Mass == u.Mass })
			switch {
			case u.N == 0:
			case at >= 0:
				out[at].N += u.N
			default:
				out = append(out, u)
			}
		}
	}
	sorting.Func(out, func(a, b unitPair) int { return cmp.Or(b.N-a.N, strings.Compare(a.String(), b.String())) })
	return out
}
