package infer

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"sync"

	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/statistics"
)

// Model tells the species of one life stage apart. It is made by
// Training.Models and not changed by judging.
type Model struct {
	Stage        string // "grown", or a young stage
	Taxa         []string
	Counts       []int // examples of each taxon in use
	Measurements []string
	Priors       []float64
	Quadratic    bool
	Shrinkage    []float64 // of each taxon
	// Error and Confusion are from leaving each example out in turn;
	// Confusion is [recorded][placed]. Those set aside are counted too.
	Error     float64
	Confusion [][]int
	SetAside  []string // IDs of trusted examples that turned out doubtful
	// Missing says why species are not compared; then the rest may be empty.
	Missing  string
	LeftTaxa []string // taxa with too few examples, "Genus epithet (7)"

	settings Settings
	examples []example // in order
	aside    map[int32]bool
	inFull   *fitted
	fits     *sync.Map // sorted measurements joined by | to *fitted, for captures that lack some
}

// Models makes a model for each life stage, in the order of their names. A
// model whose Missing is not empty declines.
func (t *Training) Models(s Settings) []*Model {
	var out []*Model
	for stage, examples := range t.ordered() {
		m := &Model{Stage: stage, settings: s, examples: examples, Quadratic: s.SpeciesQuadratic, aside: map[int32]bool{}}
		m.build(t.unsure)
		out = append(out, m)
	}
	sorting.Func(out, func(a, b *Model) int { return strings.Compare(a.Stage, b.Stage) })
	return out
}

func (m *Model) build(unsure int) {
	m.chooseMeasurements()
	m.chooseTaxa()
	if len(m.Taxa) < 2 || len(m.Measurements) < 2 {
		m.decline(unsure)
		return
	}
	for range 4 {
		f, err := m.fit(m.Measurements)
		if err != nil {
			m.Missing = "the measurements cannot tell the species apart: " + err.Error()
			return
		}
		m.inFull, m.fits = f, &sync.Map{}
		if !m.settings.TrustRecorded || !m.setAside() {
			break
		}
	}
	m.describe()
}

// chooseMeasurements takes those that four of five examples of each taxon with
// enough examples have.
func (m *Model) chooseMeasurements() {
	total := map[string]int{}
	have := map[string]map[string]int{}
	for _, e := range m.examples {
		total[e.taxon]++
		for _, l := range e.logs {
			if have[l.name] == nil {
				have[l.name] = map[string]int{}
			}
			have[l.name][e.taxon]++
		}
	}
	for name, count := range have {
		enough := true
		for taxon, n := range total {
			enough = enough && (n < m.settings.SpeciesLeast || 5*count[taxon] >= 4*n)
		}
		if enough {
			m.Measurements = append(m.Measurements, name)
		}
	}
	slices.Sort(m.Measurements)
}

// chooseTaxa takes the taxa with enough examples that have all measurements.
func (m *Model) chooseTaxa() {
	count := map[string]int{}
	for _, e := range m.examples {
		n := 0
		if e.logs.has(m.Measurements) {
			n = 1
		}
		count[e.taxon] += n
	}
	m.Taxa, m.Counts, m.LeftTaxa = nil, nil, nil
	for taxon := range count {
		if count[taxon] >= m.least() {
			m.Taxa = append(m.Taxa, taxon)
		} else {
			m.LeftTaxa = append(m.LeftTaxa, fmt.Sprintf("%s (%d)", taxon, count[taxon]))
		}
	}
	slices.Sort(m.Taxa)
	slices.Sort(m.LeftTaxa)
	for _, taxon := range m.Taxa {
		m.Counts = append(m.Counts, count[taxon])
	}
}

// least is the number of examples that a taxon needs: the setting, and two
// more than there are measurements where each taxon has its own covariance.
func (m *Model) least() int {
	n := max(m.settings.SpeciesLeast, 3)
	if m.Quadratic {
		n = max(n, len(m.Measurements)+2)
	}
	return n
}

func (m *Model) decline(unsure int) {
	var have []string
	for i, t := range m.Taxa {
		have = append(have, fmt.Sprintf("%s (%d)", t, m.Counts[i]))
	}
	have = append(have, m.LeftTaxa...)
	slices.Sort(have)
	m.Missing = fmt.Sprintf("needs two species with %d verified captures or specimens each and at least two measurements in common; has %s",
		m.least(), cmp.Or(strings.Join(have, ", "), "none"))
	if unsure > 0 {
		m.Missing += fmt.Sprintf("; %d more named captures are not verified", unsure)
	}
}

// describe fills in what the report shows of a model that was fitted.
func (m *Model) describe() {
	f := m.inFull
	m.Priors = f.d.Priors()
	m.Shrinkage = make([]float64, len(m.Taxa))
	m.Counts = make([]int, len(m.Taxa))
	for g := range m.Taxa {
		m.Shrinkage[g] = f.d.Shrinkage(g)
	}
	for _, g := range f.class {
		m.Counts[g]++
	}
	for _, e := range m.examples {
		if m.aside[e.n] {
			m.SetAside = append(m.SetAside, e.String())
		}
	}
	wrong, n := 0, 0
	count := func(g int, pl statistics.Placement) {
		m.Confusion[g][pl.Class]++
		if pl.Class != g {
			wrong++
		}
	}
	m.Confusion = make([][]int, len(m.Taxa))
	for g := range m.Confusion {
		m.Confusion[g] = make([]int, len(m.Taxa))
	}
	for i := range m.examples {
		g, in := f.class[m.examples[i].n]
		if !in {
			continue
		}
		n++
		pl, err := f.leftOut(f.shaping.columns(m.examples[i].logs), int(g))
		if err != nil {
			m.Missing = fmt.Sprintf("the measurements cannot tell the species apart: case %d: %v", n, err)
			m.Confusion = nil
			return
		}
		count(int(g), pl)
	}
	for _, e := range m.examples {
		g := slices.Index(m.Taxa, e.taxon)
		if !m.aside[e.n] || g < 0 || !e.logs.has(m.Measurements) {
			continue
		}
		if pl, err := f.d.Place(f.shaping.columns(e.logs)); err == nil {
			n++
			count(g, pl)
		}
	}
	m.Error = float64(wrong) / float64(n)
}
