package survey

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/vocabulary"
)

// Measurement is one that the vocabulary lacks, as a team describes it. Like
// names one of the vocabulary that it is measured as: dimension and unit are
// that one's where they are not given.
type Measurement struct {
	Name       string `json:"name"`
	Label      string `json:"label"`
	Dimension  string `json:"dimension"`
	Unit       string `json:"unit"`
	Definition string `json:"definition"`
	Like       string `json:"like"`
	IRI        string `json:"iri"`
}

// Measures is the vocabulary with the survey's own measurements.
func (s *Survey) Measures() *vocabulary.Measures { return s.measures }

// ownMeasures settles the survey's own measurements and makes them known to its
// mappings.
func (s *Survey) ownMeasures(doc *config.Document, known *mapping.Known) config.Mistakes {
	var ms config.Mistakes
	var own []vocabulary.Measurement
	standard := vocabulary.WithOwn(nil)
	for i, m := range s.Measurements {
		add := func(key, problem, nearest string) {
			p := fmt.Sprintf("measurements.%d.%s", i, key)
			ms = append(ms, config.Mistake{File: doc.File, Line: doc.Line(p), Path: p, Problem: problem, Nearest: nearest})
		}
		if standard.Has(m.Name) || slices.ContainsFunc(own, func(o vocabulary.Measurement) bool { return o.Name == m.Name }) {
			add("name", fmt.Sprintf("found %q, which is already a measurement; give yours another name", m.Name), "")
			continue
		}
		like := standard.Get(m.Like)
		if m.Like != "" && like.Name == "" {
			add("like", fmt.Sprintf("found %q, which is not in the measurement vocabulary", m.Like), config.Nearest(m.Like, standard.Names()))
			continue
		}
		v := like
		v.Name, v.Label, v.Definition, v.Abbreviations, v.Ambiguous = m.Name, m.Label, m.Definition, nil, nil
		v.IRI = m.IRI
		if m.Unit != "" {
			code, ok := quantity.FindUnit(m.Unit)
			if !ok {
				add("unit", fmt.Sprintf("found %q, which is not a unit code known here (UCUM, for example mm or g)", m.Unit), "")
				continue
			}
			v.Unit, v.Dimension = code, quantity.Dimension(code)
		}
		switch {
		case v.Unit == "":
			add("unit", "is missing; give the unit, or a similar measurement with the key like", "")
		case m.Dimension != "" && !sameDimension(m.Dimension, v):
			add("dimension", fmt.Sprintf("found %q; the unit %s is a unit of %s", m.Dimension, v.Unit, v.Dimension), "")
		case m.Dimension != "":
			v.Dimension = m.Dimension
			fallthrough
		default:
			own = append(own, v)
		}
	}
	s.measures = vocabulary.WithOwn(own)
	asked, unit := known.Measurement, known.UnitOf
	known.Measurement = func(name string) (bool, string) {
		if m, ok := s.measures.Find(name); ok && m.Name == name {
			return true, ""
		}
		ok, near := false, ""
		if asked != nil {
			ok, near = asked(name)
		}
		if !ok && near == "" {
			near = config.Nearest(name, s.measures.Names())
		}
		return ok, near
	}
	known.UnitOf = func(name string) string {
		if m := s.measures.Get(name); m.Unit != "" || unit == nil {
			return m.Unit
		}
		return unit(name)
	}
	return ms
}

// sameDimension allows a count to be called one although its unit is that of a
// ratio.
func sameDimension(word string, v vocabulary.Measurement) bool {
	return word == v.Dimension || v.Unit == "1" && strings.Contains("count ratio", word)
}
