package infer

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// example is one animal as the species comparison sees it.
type example struct {
	identity
	n     int32 // number of the capture; below 0 for a specimen
	taxon string
	stage string
	logs  features
}

func (e example) rank() uint64 { return e.hash() }

func (e example) compare(o example) int {
	return cmp.Or(e.identity.compare(o.identity), cmp.Compare(e.n, o.n))
}

// Training gathers what species are learnt from: the summary of the species
// comparison. The zero value is empty and ready. Trainings of different captures
// merge in any order to the same models; specimens go into one of them. Of a taxon and life stage with more than 20,000 captures
// to learn from, so many are chosen by the hash of their IDs.
type Training struct {
	classes map[class]*choice[example]
	unsure  int // captures with shape and a name that aren't verified
	taught  int // specimens
	most    int // 0 for most
}

// class is what is told apart: taxa within a stage.
type class struct{ stage, taxon string }

// lesson says what a capture is to the training.
type lesson uint8

const (
	noLesson lesson = iota
	unsureLesson
	exampleLesson
)

// teaches returns what a capture with this shape is to the training.
func (s *Settings) teaches(c *record.Capture, said *clues, k *lineage, flagged bool, shape []shapely) (*example, lesson) {
	if k.species == "" || !k.sure || flagged || len(shape) < 2 {
		return nil, noLesson
	}
	if !s.trusts(said) {
		return nil, unsureLesson
	}
	return &example{identity: identityOf(c.ID), taxon: k.species, stage: k.stage, logs: logsOf(shape)}, exampleLesson
}

func (t *Training) add(n int, e *example, what lesson) {
	switch what {
	case unsureLesson:
		t.unsure++
	case exampleLesson:
		e.n = int32(n)
		if t.classes == nil {
			t.classes = map[class]*choice[example]{}
		}
		k := class{e.stage, e.taxon}
		if t.classes[k] == nil {
			t.classes[k] = &choice[example]{}
		}
		t.classes[k].offer(*e, cmp.Or(t.most, most))
	}
}

// trusts reports whether the recorded name may be learnt from.
func (s *Settings) trusts(said *clues) bool { return s.TrustRecorded || s.verified(said.verification) }

func (s *Settings) verified(status string) bool {
	status = strings.TrimSpace(status)
	return slices.ContainsFunc(s.Verified, func(v string) bool { return strings.EqualFold(v, status) })
}

// AddSpecimen takes in a specimen of a reference table.
func (t *Training) AddSpecimen(p Specimen, s Settings) {
	var shape []shapely
	for _, name := range slices.Sorted(maps.Keys(p.Measurements)) {
		v := p.Measurements[name]
		if !(v > 0) || math.IsInf(v, 0) || !s.shapely(name) {
			continue
		}
		power := 1.0
		if name == s.ConditionMass {
			power = 3
		}
		shape = append(shape, shapely{name, v, power})
	}
	if len(shape) >= 2 {
		t.taught++
		t.add(-t.taught, &example{identity: identityOf("specimen " + p.ID), taxon: p.Taxon, stage: s.stageOf(p.LifeStage), logs: logsOf(shape)}, exampleLesson)
	}
}

// ordered returns the examples by stage, in their own order.
func (t *Training) ordered() map[string][]example {
	out := map[string][]example{}
	for k, ch := range t.classes {
		ch.trim(cmp.Or(t.most, most))
		out[k.stage] = append(out[k.stage], ch.items...)
	}
	for _, examples := range out {
		sorting.StableFunc(examples, example.compare)
	}
	return out
}
