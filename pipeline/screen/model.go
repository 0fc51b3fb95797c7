package screen

import (
	"maps"
	"math"
	"slices"
	"strings"
	"sync"

	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/statistics"
)

// fitted is a summary made ready for judging.
type fitted struct {
	captures   int
	settings   Settings
	models     map[string]*model // by taxon
	common     func() *model     // of all taxa, fitted when first needed; nil in a small survey
	small      map[string]map[string][]outlierOf
	middles    map[string]map[string]float64 // median logs of small taxa, by measurement
	tares      usualTares
	cuts       cuts
	agreement  map[string]agreement // of replicates, by measurement
	takings    takings
	forEachNet float64                    // how many masses have a gross and a bag for each that was written by itself
	share      *bagShare                  // of those that have the bag in; nil until it was learnt
	errors     map[string]*observerErrors // by measurement
	lengths    []string                   // that any model knows, by name
	masses     []string
	known      []int // places of these, lengths first, by number of the measurement; -1 for others
}

// model is what live animals of one taxon look like on the log scale: the size
// of each group, the line of every other measurement on size, and how the
// residuals from the lines go together. It describes a normal distribution
// with somewhat longer tails for every group:
//
//	size   ~ group centre, group scale
//	log y  = intercept(sex) + slope · size + bend · min(0, size − knee) + residual
//
// of which most lines have no bend.
type model struct {
	taxon    string
	captures int
	names    []string       // names[0] is the size measurement; the others ascending
	index    map[string]int // of names
	numbered []int          // the same by number of the measurement; -1 where it is none of them
	lines    []line         // lines[0] is not used
	relation [][]float64    // correlation of the residuals, by index
	related  string         // where relation came from
	sizes    map[groupKey]place
	places   map[sampleKey]place // of every measurement, with "" for pooled stage and sex
	typical  []float64           // middle value of each measurement, in its unit
	knee     float64             // log size from which animals are grown, where a line is bent; else 0
	anySize  float64             // standard deviation of the log size of its animals, young and old
	minGroup int
	common   bool // of all taxa together
	statures map[groupKey]*stature
}

// ofTaxon reports whether the model is of one taxon by itself.
func (m *model) ofTaxon() bool { return m != nil && !m.common }

type groupKey struct{ stage, sex string }

// place is where a group lies on one log measurement.
type place struct {
	n       int
	centre  float64
	scale   float64
	below   float64 // scale of the values below the centre, where these trail off
	above   float64 // and of those above it
	rawMAD  float64
	way     string
	widened float64 // factor on thresholds for what n values leave open
}

// line is the robust line of one measurement on size.
type line struct {
	n         int
	slope     float64
	bend      float64            // what the slope is more by below the knee; 0 of a straight line
	knee      float64            // log size
	below     float64            // sum of squares of the sizes below it, from it
	offset    map[string]float64 // intercept by sex
	scale     float64            // about the lines of the sexes
	all       float64            // intercept for all together
	pooled    float64            // scale about it
	widened   float64
	lo, hi    float64 // range of size that the line was fitted over
	mean, sxx float64
	known     float64 // sum of squares that the expected slope counts as
	axis      statistics.MajorAxis
}

// strangerScale widens the scale for animals of a sex that too few others are
// of to have an intercept of their own.
const strangerScale = 1.5

// rise is how far the line lies above its intercept at a size.
func (l *line) rise(size float64) float64 {
	if l.slope == 0 {
		return 0
	}
	return l.slope*size + l.bend*min(0, size-l.knee)
}

// intercept returns the intercept and the scale for a sex.
func (l *line) intercept(sex string) (float64, float64) {
	if v, ok := l.offset[sex]; ok {
		return v, l.scale
	}
	if len(l.offset) > 0 && sex != "" {
		return l.all, strangerScale * l.pooled
	}
	return l.all, l.pooled
}

// nearest returns the intercept and the scale that an animal is seen with: those
// of its sex or, where that is not known, of the sex that it lies nearest to.
func (l *line) nearest(sex string, rest float64) (float64, float64) {
	if sex != "" || len(l.offset) == 0 {
		return l.intercept(sex)
	}
	best := math.Inf(1)
	for _, c := range l.offset {
		if d := math.Abs(rest - c); d < math.Abs(rest-best) || d == math.Abs(rest-best) && c < best {
			best = c
		}
	}
	return best, l.scale
}

// beyond is how far past its animals a line is followed, on the log scale: to
// half and to double. Farther out a size is more likely wrong than real.
const beyond = 0.7

// leverage is the variance of the line's height at x over scale², x not
// reaching far beyond where the line was fitted.
func (l *line) leverage(x float64) float64 {
	x = min(max(x, l.lo-beyond), l.hi+beyond)
	h := 1 / float64(l.n)
	if l.sxx+l.known > 0 {
		h += (x - l.mean) * (x - l.mean) / (l.sxx + l.known)
	}
	if d := min(0, x-l.knee); l.bend != 0 {
		h += d * d / (l.below + l.known)
	}
	return h
}

func fitSurvey(s *Summary) *fitted {
	f := &fitted{captures: s.captures, settings: s.settings, models: map[string]*model{},
		small: map[string]map[string][]outlierOf{}, middles: map[string]map[string]float64{}}
	names := make([]string, 0, len(s.taxa))
	for name := range s.taxa {
		names = append(names, name)
	}
	slices.Sort(names)
	fits := make([]*model, len(names))
	eachOf(len(names), func(i int) {
		t := s.taxa[names[i]]
		t.settle()
		t.prune(s.settings.MaxRows)
		if names[i] != "" || len(names) == 1 { // animals without a name are not of one kind where others have names
			fits[i] = fitTaxon(names[i], t, s.settings)
			if fits[i] != nil {
				fits[i].bendLines(t, s.settings)
			}
		}
	})
	var shapes []shape
	for i, name := range names {
		if small := fitSmall(s.taxa[name], s.settings); len(small) > 0 {
			f.small[name] = small
			f.middles[name] = s.taxa[name].medians()
		}
		if fits[i] != nil {
			f.models[name] = fits[i]
			shapes = append(shapes, shape{model: fits[i], kept: s.taxa[name].kept})
		}
	}
	steady(shapes, s.settings)
	relate(shapes)
	f.learnErrors(s, shapes)
	f.common = sync.OnceValue(func() *model {
		m := fitCommon(s, names)
		if m != nil {
			m.numbered = f.numbered(m.names)
		}
		return m
	})
	f.prepare(s)
	f.cuts = cutsFor(s.captures, s.settings)
	f.agreement = agreements(s, s.settings)
	f.learnTakings(s)
	f.tares, f.forEachNet = s.tares.usual(s.settings), s.weighedForEachNet()
	f.name(s)
	for _, m := range f.models {
		m.numbered = f.numbered(m.names)
	}
	return f
}

// name lists the measurements that any model knows.
func (f *fitted) name(s *Summary) {
	seen := map[string]bool{}
	for _, m := range f.models {
		for _, name := range m.names {
			seen[name] = true
		}
	}
	for _, name := range sorting.SortedFunc(maps.Keys(seen), strings.Compare) {
		if s.measurements[name].kind == length {
			f.lengths = append(f.lengths, name)
		} else {
			f.masses = append(f.masses, name)
		}
	}
	f.known = f.numbered(slices.Concat(f.lengths, f.masses))
}

// numbered returns the places of measurements by their numbers, -1 for others.
func (f *fitted) numbered(names []string) []int {
	places := []int{-1}
	for _, name := range f.takings.names {
		places = append(places, slices.Index(names, name))
	}
	return places
}

// prepare works out what the models expect of every group.
func (f *fitted) prepare(s *Summary) {
	for name, m := range f.models {
		m.prepare(s.taxa[name].groups)
	}
}

// fitTaxon returns the model of a taxon, nil where no measurement was taken of
// enough animals.
func fitTaxon(name string, t *taxonSummary, s Settings) *model {
	m := &model{taxon: name, captures: t.captures, index: map[string]int{}, minGroup: s.MinGroup}
	m.fitPlaces(t, s)
	m.chooseNames(t, s)
	if len(m.names) == 0 {
		return nil
	}
	for _, name := range m.names {
		m.typical = append(m.typical, math.Exp(m.places[sampleKey{measurement: name}].centre))
	}
	m.anySize = max(anySize, widthOf(t.pooled()[m.names[0]]))
	m.sizes = map[groupKey]place{}
	for k, p := range m.places {
		if k.measurement == m.names[0] {
			m.sizes[groupKey{k.stage, k.sex}] = p
		}
	}
	m.lines = make([]line, len(m.names))
	eachOf(len(m.names)-1, func(i int) { m.lines[i+1] = m.fitLine(t.kept, i+1, s) })
	return m
}

// widthOf is the standard deviation of a normal distribution of which the outer
// ends lie where a hundredth of the values of a sample lies beyond, and 0 of a
// sample that is too small.
func widthOf(sample *statistics.Sample) float64 {
	if sample.Len() < 100 {
		return 0
	}
	v := sample.Values()
	n := len(v) / 100
	return (v[len(v)-1-n] - v[n]) / (2 * 2.326347874)
}

// chooseNames puts the measurement that stands for size first: body length
// where at least half of the animals have it, else the length taken most
// often, else the mass.
func (m *model) chooseNames(t *taxonSummary, s Settings) {
	count := map[string]int{}
	for k, sample := range t.samples() {
		count[k.measurement] += sample.Len()
	}
	for name, n := range count {
		if n >= s.MinGroup {
			m.names = append(m.names, name)
		}
	}
	slices.Sort(m.names)
	first, most := -1, 0
	for i, name := range m.names {
		n := count[name]
		switch {
		case name == bodyLength && 2*n >= t.captures:
			n += 2 * t.captures
		case name != bodyMass && name != grossMass:
			n += t.captures
		}
		if n > most {
			first, most = i, n
		}
	}
	if first > 0 {
		name := m.names[first]
		m.names = slices.Insert(slices.Delete(m.names, first, first+1), 0, name)
	}
	for i, name := range m.names {
		m.index[name] = i
	}
}

// finite reports whether v is a number.
func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
