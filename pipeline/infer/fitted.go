package infer

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"spadefoot/pipeline/statistics"
)

// fitted is the discriminant on one set of measurements, with the classes of
// the examples that went in.
type fitted struct {
	shaping shaping
	d       *statistics.Discriminant
	class   map[int32]uint16 // by number of the example
	spreads sync.Map         // of ratios of a class: [2]int to spread
}

// spread is what the ratios of a class are like.
type spread struct {
	n             int
	centre, scale float64
}

func (m *Model) spread(f *fitted, class, ratio int) spread {
	key := [2]int{class, ratio}
	if known, ok := f.spreads.Load(key); ok {
		return known.(spread)
	}
	var ratios []float64
	for i := range m.examples {
		if g, ok := f.class[m.examples[i].n]; ok && int(g) == class {
			ratios = append(ratios, f.shaping.ratios(m.examples[i].logs)[ratio])
		}
	}
	made := spread{n: len(ratios)}
	made.centre, made.scale = statistics.MeanSD(ratios)
	f.spreads.Store(key, made)
	return made
}

// fit learns from the examples that have all of the named measurements.
func (m *Model) fit(names []string) (*fitted, error) {
	f := &fitted{shaping: newShaping(names), class: map[int32]uint16{}}
	var rows [][]float64
	var class []int
	count := make([]int, len(m.Taxa))
	for i := range m.examples {
		e := &m.examples[i]
		g := slices.Index(m.Taxa, e.taxon)
		if g < 0 || m.aside[e.n] || !e.logs.has(names) {
			continue
		}
		f.class[e.n] = uint16(g)
		rows, class = append(rows, f.shaping.columns(e.logs)), append(class, g)
		count[g]++
	}
	for g, n := range count {
		if n < 3 {
			return nil, fmt.Errorf("%w: %s has %d with %s", statistics.ErrTooFewCases, m.Taxa[g], n, strings.Join(names, ", "))
		}
	}
	o := statistics.DiscriminantOptions{Quadratic: m.Quadratic, Shrink: true, Blocks: f.shaping.blocks}
	if m.settings.SpeciesPriors != "training" {
		o.Priors = make([]float64, len(m.Taxa))
		for g := range o.Priors {
			o.Priors[g] = 1
		}
	}
	var err error
	f.d, err = statistics.FitDiscriminant(rows, class, len(m.Taxa), o)
	return f, err
}

// leftOut places an example of the fit as if it had not gone in.
func (f *fitted) leftOut(x []float64, class int) (statistics.Placement, error) {
	less, err := f.d.Without(x, class)
	if err != nil {
		return statistics.Placement{}, err
	}
	return less.Place(x)
}
