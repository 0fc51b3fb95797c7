package infer

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// example is one animal as the species comparison sees it.
type example struct {
	id    string // of its own also where two captures share an ID
	from  string // ID of the capture; "" for a specimen
	taxon string
	stage string
	logs  map[string]float64 // natural log of each length; of each mass a third of it
}

// Training gathers what species are learnt from: the summary of the species
// comparison. The zero value is empty and ready. Trainings merge in any order
// to the same models.
type Training struct {
	examples []example
	unsure   int // captures with shape and a name that aren't verified
}

// Add takes a capture in if its identification is verified (or trusted), named
// to the species without qualifier, and not flagged by screening.
func (t *Training) Add(c *record.Capture, flagged bool, s Settings) {
	taxon, sure := binomial(c)
	if taxon == "" || !sure || flagged {
		return
	}
	e := exampleOf(c, s)
	if len(e.logs) < 2 {
		return
	}
	if !s.TrustRecorded && !s.verified(c) {
		t.unsure++
		return
	}
	e.taxon = taxon
	t.examples = append(t.examples, e)
}

func (s *Settings) verified(c *record.Capture) bool {
	status := strings.TrimSpace(c.Get("identificationVerificationStatus"))
	return slices.ContainsFunc(s.Verified, func(v string) bool { return strings.EqualFold(v, status) })
}

// AddSpecimen takes in a specimen of a reference table.
func (t *Training) AddSpecimen(p Specimen, s Settings) {
	e := example{id: "specimen " + p.ID, taxon: p.Taxon, stage: s.stageOf(p.LifeStage), logs: map[string]float64{}}
	for name, v := range p.Measurements {
		if !(v > 0) || math.IsInf(v, 0) || !s.shapely(name) {
			continue
		}
		e.logs[name] = math.Log(v)
		if name == s.ConditionMass {
			e.logs[name] /= 3
		}
	}
	if len(e.logs) >= 2 {
		t.examples = append(t.examples, e)
	}
}

// Merge takes in what another training gathered.
func (t *Training) Merge(o Training) {
	t.examples = append(t.examples, o.examples...)
	t.unsure += o.unsure
}

// ordered gives the examples in an order of their own.
func (t *Training) ordered() []example {
	out := slices.Clone(t.examples)
	slices.SortStableFunc(out, func(a, b example) int {
		return cmp.Or(strings.Compare(a.id, b.id), strings.Compare(a.taxon, b.taxon))
	})
	return out
}

// exampleOf takes the shape of a capture. A measurement that the writer doubted
// is left out; a mass counts by its cube root, so that all are lengths.
func exampleOf(c *record.Capture, s Settings) example {
	e := example{id: c.ID + " " + c.Address().String(), from: c.ID, stage: s.stageOf(c.Get("lifeStage")), logs: map[string]float64{}}
	take := func(name string, m measured, ok bool) {
		power := sizePower(m.Unit)
		if !ok || m.Doubtful || power == 0 || !(m.Value > 0) {
			return
		}
		e.logs[name] = math.Log(m.Value) / power
	}
	for i := range c.Readings {
		r := &c.Readings[i]
		if _, done := e.logs[r.Measurement]; done || r.Derived || r.Measurement == s.ConditionMass ||
			sizePower(r.Unit) != 1 || !s.shapely(r.Measurement) {
			continue
		}
		m, ok := measurementOf(c, r.Measurement)
		take(r.Measurement, m, ok)
	}
	if s.shapely(s.ConditionMass) {
		m, ok := massOf(c, s.ConditionMass)
		take(s.ConditionMass, m, ok)
	}
	return e
}

func (s *Settings) shapely(name string) bool {
	return len(s.SpeciesMeasurements) == 0 || slices.Contains(s.SpeciesMeasurements, name)
}
