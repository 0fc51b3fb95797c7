package screen

import (
	"math"
	"slices"
	"sync"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

// Summary is what judging needs to know of a survey. Summaries of parts merge
// into exactly the summary of the whole, in whatever order the captures came.
// Its size is bounded by the kinds of animals, the sessions and the values that
// an instrument can show, not by the number of captures: medians are of counted
// values, and of each taxon a fixed choice of at most MaxRows captures is kept
// for lines and covariances. It keeps no string of a capture.
type Summary struct {
	settings     Settings
	captures     int
	words        words
	taxa         map[string]*taxonSummary
	measurements map[string]*measurementSummary
	tares        tareSummary
	scratch      buffers

	mu     sync.Mutex
	fitted *fitted
}

// measurementSummary is what is known of the readings of one measurement.
type measurementSummary struct {
	kind     dimension
	decimals []decimalCount
	pairs    statistics.Sample                   // |log ratio| of replicates
	steps    byObserver[stepCounts, *stepCounts] // how finely it is read
	repeats  repeatSums
}

// rowsInSummary is the number of rows that are made at a time, on all cores.
const rowsInSummary = 8 * rowsAtOnce

type decimalCount struct{ decimals, readings int }

// NewSummary returns an empty summary for these settings.
func NewSummary(s Settings) *Summary {
	return &Summary{settings: s, words: words{}, taxa: map[string]*taxonSummary{}, measurements: map[string]*measurementSummary{},
		tares: newTareSummary()}
}

// AddPart takes captures in, in the order of their addresses: sums then come out
// the same whatever the order they came in.
func (s *Summary) AddPart(captures []*record.Capture) {
	for some := range slices.Chunk(inOrder(captures), rowsInSummary) {
		s.scratch.open(len(some))
		s.scratch.build(some, func(int) {})
		for _, r := range s.scratch.rows {
			s.add(r)
		}
		s.scratch.close()
	}
}

func (s *Summary) add(r *row) {
	s.fitted = nil
	s.captures++
	t := s.taxon(r.taxon)
	t.captures++
	if len(r.cells) > 0 {
		s.addCells(t, r)
	}
	if w := r.capture.Weighing; w != nil && w.Tare != nil && w.Tare.Usable() && w.Tare.Number > 0 {
		animal, _ := w.Animal()
		s.tares.add(r.capture.Session, w.Tare.Number, animal)
		s.addSteps(w, r.hand)
	}
}

// addSteps counts the steps that gross and tare were read to.
func (s *Summary) addSteps(w *record.Weighing, observer uint64) {
	for _, r := range [...]*record.Reading{w.Gross, w.Tare} {
		if r != nil && r.Usable() {
			s.measurement(r.Measurement).steps.of(observerOf(r, observer)).add(r.Number, r.Decimals)
		}
	}
}

func (s *Summary) addCells(t *taxonSummary, r *row) {
	g := t.group(s.words, groupKey{r.stage, r.sex})
	observer := r.hand
	for i := range r.cells {
		c := &r.cells[i]
		slot := g.slot(s, c.measurement, i)
		slot.values.Add(c.value)
		slot.measurement.add(c, observer)
	}
	if id := hashOf(r); id <= t.beyond {
		o := observation{hash: id, observer: observerNamed(r.observer), stage: g.stage, sex: g.sex, names: g.namesOf(r.cells), logs: make([]float64, len(r.cells))}
		for i := range r.cells {
			o.logs[i] = math.Log(r.cells[i].value)
		}
		t.keep(s.settings.MaxRows, o)
	}
}

// maxPairs is with how many replicates before it a reading is compared, far
// more than anybody takes of one animal.
const maxPairs = 50

// add counts decimals, steps and the differences between replicates.
func (m *measurementSummary) add(c *cell, observer uint64) {
	m.kind = max(m.kind, c.kind)
	for i, r := range c.readings {
		m.count(r.Decimals, 1)
		if !r.Derived {
			m.steps.of(observerOf(r, observer)).add(r.Number, r.Decimals)
		}
		for _, o := range c.readings[max(0, i-maxPairs):i] {
			d := math.Log(r.Number / o.Number)
			m.pairs.Add(math.Abs(d))
			if by := observerOf(r, observer); by == observerOf(o, observer) {
				m.repeats.of(by).add(d, len(c.readings))
			}
		}
	}
}

func (m *measurementSummary) count(decimals, n int) {
	for i := range m.decimals {
		if m.decimals[i].decimals == decimals {
			m.decimals[i].readings += n
			return
		}
	}
	m.decimals = append(m.decimals, decimalCount{decimals, n})
}

// Merge takes the captures of another summary in.
func (s *Summary) Merge(o *Summary) {
	s.fitted = nil
	s.captures += o.captures
	for name, from := range o.taxa {
		t := s.taxon(name)
		t.captures += from.captures
		for k, g := range from.groups {
			to := t.group(s.words, k)
			for i := range g.slots {
				to.slot(s, g.slots[i].name, i).values.Merge(&g.slots[i].values)
			}
		}
		t.keep(s.settings.MaxRows, from.kept...)
	}
	for name, from := range o.measurements {
		m := s.measurement(name)
		m.kind = max(m.kind, from.kind)
		m.pairs.Merge(&from.pairs)
		m.steps.merge(&from.steps)
		m.repeats.merge(&from.repeats.byObserver)
		for _, d := range from.decimals {
			m.count(d.decimals, d.readings)
		}
	}
	s.tares.merge(&o.tares)
}

func (s *Summary) taxon(name string) *taxonSummary {
	t := s.taxa[name]
	if t == nil {
		t = &taxonSummary{groups: map[groupKey]*groupSummary{}, beyond: math.MaxUint64}
		s.taxa[s.words.keep(name)] = t
	}
	return t
}

func (s *Summary) measurement(name string) *measurementSummary {
	m := s.measurements[name]
	if m == nil {
		m = &measurementSummary{}
		s.measurements[s.words.keep(name)] = m
	}
	return m
}

// pairs are the differences between replicates of a measurement.
func (s *Summary) pairs(measurement string) *statistics.Sample {
	if m := s.measurements[measurement]; m != nil {
		return &m.pairs
	}
	return nil
}

// usualDecimals is the number of decimals that most readings of a measurement
// have; the lower of equals.
func (s *Summary) usualDecimals(measurement string) int {
	m := s.measurements[measurement]
	if m == nil {
		return 0
	}
	best, most := 0, 0
	for _, d := range m.decimals {
		if d.readings > most || d.readings == most && d.decimals < best {
			best, most = d.decimals, d.readings
		}
	}
	return best
}

// fit settles the summary for judging. It is safe for concurrent use as long
// as nobody adds.
func (s *Summary) fit() *fitted {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.fitted == nil {
		s.fitted = fitSurvey(s)
	}
	return s.fitted
}
