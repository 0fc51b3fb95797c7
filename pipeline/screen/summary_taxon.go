package screen

import (
	"cmp"
	"iter"
	"math"
	"slices"

	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/statistics"
)

// taxonSummary is the part of one taxon.
type taxonSummary struct {
	captures int
	groups   map[groupKey]*groupSummary
	kept     []observation
	beyond   uint64 // hashes above are not kept any more
}

type sampleKey struct{ measurement, stage, sex string }

// groupSummary is the part of one life stage and sex.
type groupSummary struct {
	stage, sex string
	slots      []slot
	names      [][]string // what was measured of an animal, each choice once
}

// slot is one measurement of a group.
type slot struct {
	name        string
	values      statistics.Sample
	logs        statistics.Sample // of the values, once the taxon is settled
	measurement *measurementSummary
}

// observation is one capture as lines and covariances see it.
type observation struct {
	hash       uint64
	observer   uint64 // hash; 0 where nobody is named
	stage, sex string
	names      []string // ascending
	logs       []float64
}

func (t *taxonSummary) group(w words, k groupKey) *groupSummary {
	g := t.groups[k]
	if g == nil {
		g = &groupSummary{stage: w.keep(k.stage), sex: w.keep(k.sex)}
		t.groups[groupKey{g.stage, g.sex}] = g
	}
	return g
}

// slot returns the slot of a measurement, which likely stands near a place.
func (g *groupSummary) slot(s *Summary, name string, near int) *slot {
	for i := near; i < len(g.slots); i++ {
		if g.slots[i].name == name {
			return &g.slots[i]
		}
	}
	for i := range min(near, len(g.slots)) {
		if g.slots[i].name == name {
			return &g.slots[i]
		}
	}
	g.slots = append(g.slots, slot{name: s.words.keep(name), measurement: s.measurement(name)})
	return &g.slots[len(g.slots)-1]
}

// maxChoices is the number of choices of measurements that are looked for.
const maxChoices = 64

// namesOf returns the names of cells, in strings that may be kept.
func (g *groupSummary) namesOf(cells []cell) []string {
	same := func(names []string) bool {
		return slices.EqualFunc(names, cells, func(name string, c cell) bool { return name == c.measurement })
	}
	if i := slices.IndexFunc(g.names, same); i >= 0 {
		return g.names[i]
	}
	names := make([]string, len(cells))
	for i := range cells {
		at := slices.IndexFunc(g.slots, func(s slot) bool { return s.name == cells[i].measurement })
		names[i] = g.slots[at].name
	}
	if len(g.names) < maxChoices {
		g.names = append(g.names, names)
	}
	return names
}

// settle readies a taxon for samples.
func (t *taxonSummary) settle() {
	for _, g := range t.groups {
		for i := range g.slots {
			g.slots[i].logs = g.slots[i].values.Mapped(math.Log)
		}
	}
}

// samples lists the log values by measurement, stage and sex, in no order.
func (t *taxonSummary) samples() iter.Seq2[sampleKey, *statistics.Sample] {
	return func(yield func(sampleKey, *statistics.Sample) bool) {
		for _, g := range t.groups {
			for i := range g.slots {
				if !yield(sampleKey{g.slots[i].name, g.stage, g.sex}, &g.slots[i].logs) {
					return
				}
			}
		}
	}
}

// keep adds observations and prunes to the most of least hash, so that which
// ones stay depends on what they are and not on when they came.
func (t *taxonSummary) keep(most int, o ...observation) {
	t.kept = append(t.kept, o...)
	if most > 0 && 2*len(t.kept) > 3*most {
		t.prune(most)
		t.beyond = t.kept[most-1].hash
	}
}

func (t *taxonSummary) prune(most int) {
	slices.SortFunc(t.kept, observation.compare)
	if most > 0 && len(t.kept) > most {
		clear(t.kept[most:])
		t.kept = t.kept[:most]
	}
}

func (o observation) compare(p observation) int {
	if o.hash != p.hash {
		return cmp.Compare(o.hash, p.hash)
	}
	return cmp.Or(cmp.Compare(o.observer, p.observer), cmp.Compare(o.stage, p.stage), cmp.Compare(o.sex, p.sex),
		slices.Compare(o.names, p.names), slices.Compare(o.logs, p.logs))
}

// hashOf mixes the identity of a capture, so that the choice of rows is even.
func hashOf(r *row) uint64 {
	id := r.capture.ID
	if id == "" {
		id = r.capture.Address().String()
	}
	return uint64(digest.Start.Text(id))
}

// pooled returns all samples of a taxon by measurement alone.
func (t *taxonSummary) pooled() map[string]*statistics.Sample {
	all := map[string]*statistics.Sample{}
	for k, sample := range t.samples() {
		if all[k.measurement] == nil {
			all[k.measurement] = &statistics.Sample{}
		}
		all[k.measurement].Merge(sample)
	}
	return all
}

// medians returns the median log of every measurement.
func (t *taxonSummary) medians() map[string]float64 {
	out := map[string]float64{}
	for name, sample := range t.pooled() {
		out[name] = sample.Median()
	}
	return out
}
