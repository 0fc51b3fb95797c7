package screen

import (
	"cmp"
	"hash/fnv"
	"math"
	"slices"
	"sync"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

// Summary is what judging needs to know of a survey. Summaries of parts merge
// into exactly the summary of the whole, in whatever order the captures came.
// Its size is bounded by the kinds of animals, not by their number: medians
// are of counted values, and of each taxon a fixed choice of at most MostRows
// captures is kept for lines and covariances.
type Summary struct {
	settings Settings
	captures int
	taxa     map[string]*taxonSummary
	digits   map[string]map[int]int        // measurement → decimals → readings
	tares    map[string]*statistics.Sample // session → bag masses
	pairs    map[string]*statistics.Sample // measurement → |log ratio| of replicates

	mu     sync.Mutex
	fitted *fitted
}

// taxonSummary is the part of one taxon.
type taxonSummary struct {
	captures int
	samples  map[sampleKey]*statistics.Sample // log values
	kept     []observation
}

type sampleKey struct{ measurement, stage, sex string }

// observation is one capture as lines and covariances see it.
type observation struct {
	hash       uint64
	stage, sex string
	names      []string // ascending
	logs       []float64
}

// NewSummary gives an empty summary for these settings.
func NewSummary(s Settings) *Summary {
	return &Summary{settings: s, taxa: map[string]*taxonSummary{}, digits: map[string]map[int]int{},
		tares: map[string]*statistics.Sample{}, pairs: map[string]*statistics.Sample{}}
}

// Summarise gives the summary of captures.
func Summarise(captures []*record.Capture, s Settings) *Summary {
	sum := NewSummary(s)
	for _, c := range captures {
		sum.Add(c)
	}
	return sum
}

// Add takes one capture in.
func (s *Summary) Add(c *record.Capture) { s.add(rowOf(c)) }

func (s *Summary) add(r *row) {
	s.fitted = nil
	s.captures++
	t := s.taxon(r.taxon)
	t.captures++
	o := observation{hash: hashOf(r), stage: r.stage, sex: r.sex}
	for i := range r.cells {
		c := &r.cells[i]
		o.names, o.logs = append(o.names, c.measurement), append(o.logs, c.log)
		t.sample(sampleKey{c.measurement, r.stage, r.sex}).Add(c.log)
		s.addReadings(c)
	}
	if len(o.names) > 0 {
		t.keep(s.settings.MostRows, o)
	}
	if w := r.capture.Weighing; w != nil && w.Tare != nil && w.Tare.Usable() && w.Tare.Number > 0 {
		sampleIn(s.tares, r.capture.Session).Add(w.Tare.Number)
	}
}

// addReadings counts decimals and the differences between replicates.
func (s *Summary) addReadings(c *cell) {
	for i, r := range c.readings {
		if s.digits[c.measurement] == nil {
			s.digits[c.measurement] = map[int]int{}
		}
		s.digits[c.measurement][r.Decimals]++
		for _, o := range c.readings[:i] {
			sampleIn(s.pairs, c.measurement).Add(math.Abs(math.Log(r.Number / o.Number)))
		}
	}
}

// Merge takes the captures of another summary in.
func (s *Summary) Merge(o *Summary) {
	s.fitted = nil
	s.captures += o.captures
	for name, from := range o.taxa {
		t := s.taxon(name)
		t.captures += from.captures
		for k, v := range from.samples {
			t.sample(k).Merge(v)
		}
		t.keep(s.settings.MostRows, from.kept...)
	}
	for m, counts := range o.digits {
		if s.digits[m] == nil {
			s.digits[m] = map[int]int{}
		}
		for d, n := range counts {
			s.digits[m][d] += n
		}
	}
	mergeSamples(s.tares, o.tares)
	mergeSamples(s.pairs, o.pairs)
}

func mergeSamples(to, from map[string]*statistics.Sample) {
	for k, v := range from {
		sampleIn(to, k).Merge(v)
	}
}

func sampleIn(m map[string]*statistics.Sample, key string) *statistics.Sample {
	if m[key] == nil {
		m[key] = &statistics.Sample{}
	}
	return m[key]
}

func (s *Summary) taxon(name string) *taxonSummary {
	if s.taxa[name] == nil {
		s.taxa[name] = &taxonSummary{samples: map[sampleKey]*statistics.Sample{}}
	}
	return s.taxa[name]
}

func (t *taxonSummary) sample(k sampleKey) *statistics.Sample {
	if t.samples[k] == nil {
		t.samples[k] = &statistics.Sample{}
	}
	return t.samples[k]
}

// keep adds observations and prunes to the most of least hash, so that which
// ones stay depends on what they are and not on when they came.
func (t *taxonSummary) keep(most int, o ...observation) {
	t.kept = append(t.kept, o...)
	if most > 0 && len(t.kept) > 2*most {
		t.prune(most)
	}
}

func (t *taxonSummary) prune(most int) {
	slices.SortFunc(t.kept, compareObservations)
	if most > 0 && len(t.kept) > most {
		t.kept = slices.Clone(t.kept[:most])
	}
}

func compareObservations(a, b observation) int {
	return cmp.Or(cmp.Compare(a.hash, b.hash), cmp.Compare(a.stage, b.stage), cmp.Compare(a.sex, b.sex),
		slices.Compare(a.names, b.names), slices.Compare(a.logs, b.logs))
}

// hashOf mixes the identity of a capture, so that the choice of rows is even.
func hashOf(r *row) uint64 {
	h := fnv.New64a()
	id := r.capture.ID
	if id == "" {
		id = r.capture.Address().String()
	}
	h.Write([]byte(id))
	return h.Sum64()
}

// usualDecimals is the number of decimals that most readings of a measurement
// have; the lower of equals.
func (s *Summary) usualDecimals(measurement string) int {
	best, most := 0, 0
	for d, n := range s.digits[measurement] {
		if n > most || n == most && d < best {
			best, most = d, n
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
