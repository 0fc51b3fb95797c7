package screen

import (
	"fmt"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// scales look for masses that pile up at the largest value of an instrument:
// three or more exactly there, and more than in the tenth of the range below
// it. The animals above the end of the scale were then written down as the end.
type scales struct {
	words words
	of    map[string]*scale // by name
}

// scale counts the masses by one instrument from nine tenths of the largest up.
type scale struct {
	n                 int
	top               float64
	first             spot // at the top
	field, text, unit string
	at                []scaleReading // at the top, at most maxInRun
	tops              int
	below             map[float64]int
}

type scaleReading struct{ capture, at record.Address }

// add takes the mass in that a person read off for a capture.
func (s *scales) add(c *record.Capture) {
	if c.Weighing != nil && c.Weighing.Gross != nil {
		s.addReading(c, c.Weighing.Gross)
		return
	}
	for i := range c.Readings {
		if m := c.Readings[i].Measurement; m == bodyMass || m == grossMass {
			s.addReading(c, &c.Readings[i])
		}
	}
}

func (s *scales) addReading(c *record.Capture, r *record.Reading) {
	if r.Derived || r.State != record.Measured || dimensionOf(r.Unit) != mass {
		return
	}
	name := r.Instrument
	if c.Weighing != nil && c.Weighing.Scale != "" {
		name = c.Weighing.Scale
	}
	o := s.of[name]
	if o == nil {
		o = &scale{below: map[float64]int{}}
		s.of[s.words.keep(name)] = o
	}
	o.n++
	switch {
	case r.Number > o.top:
		o.rise(r.Number)
		o.reach(s.words, c, r)
	case r.Number == o.top:
		o.reach(s.words, c, r)
	case r.Number >= 0.9*o.top:
		o.below[r.Number]++
	}
}

// rise forgets what is too far below the new top.
func (o *scale) rise(top float64) {
	if o.tops > 0 {
		o.below[o.top] += o.tops
	}
	o.top, o.tops, o.at = top, 0, nil
	for v := range o.below {
		if v < 0.9*top {
			delete(o.below, v)
		}
	}
}

func (o *scale) reach(w words, c *record.Capture, r *record.Reading) {
	if o.tops == 0 || o.first.capture.Compare(c.Address()) > 0 {
		o.first = w.keepSpot(spotOf(c, r))
		o.field, o.text, o.unit = w.keep(r.Measurement), strings.Clone(r.Text), w.keep(r.Unit)
	}
	if o.tops++; len(o.at) < maxInRun {
		o.at = append(o.at, scaleReading{w.address(c.Address()), w.address(r.From)})
	}
}

func (s *scales) ends() []record.Finding {
	var findings []record.Finding
	for name, o := range s.of {
		below := 0
		for _, n := range o.below {
			below += n
		}
		if o.tops >= 3 && o.tops > below {
			findings = append(findings, o.report(name, below))
		}
	}
	return findings
}

func (o *scale) report(name string, below int) record.Finding {
	if name == "" {
		name = "the scale"
	}
	sorting.StableFunc(o.at, func(a, b scaleReading) int { return a.capture.Compare(b.capture) })
	f := record.Finding{Rule: "end-of-scale", Level: record.Note, At: o.first.at, Capture: o.first.key, Field: o.field,
		Value: o.first.verbatim, Group: fmt.Sprintf("masses by %s, n = %d", name, o.n),
		Figures: []record.Figure{{Name: "value", Value: o.top}, {Name: "n", Value: float64(o.n)},
			{Name: "statistic", Value: float64(o.tops)}, {Name: "threshold", Value: float64(max(3, below+1))}},
		Reason: fmt.Sprintf("%d masses are exactly %s %s, the largest by %s, and %d are in the 10 %% below it: heavier animals may have been recorded as the end of the scale.",
			o.tops, o.text, unitName(o.unit), name, below)}
	for _, r := range o.at[1:] {
		f.Also = append(f.Also, r.at)
	}
	return f
}
