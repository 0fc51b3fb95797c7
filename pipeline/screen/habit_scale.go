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
	Of    map[string]*scale // by name
}

// scale counts the masses by one instrument from nine tenths of the largest up.
type scale struct {
	N                 int
	Top               float64
	First             spot // at the top
	Field, Text, Unit string
	At                []scaleReading // the first at the top, at most maxInRun
	Tops              int
	Below             map[float64]int
}

type scaleReading struct{ Capture, At record.Address }

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
	o := s.Of[name]
	if o == nil {
		o = &scale{Below: map[float64]int{}}
		s.Of[s.words.keep(name)] = o
	}
	o.N++
	switch {
	case r.Number > o.Top:
		o.rise(r.Number)
		o.reach(s.words, c, r)
	case r.Number == o.Top:
		o.reach(s.words, c, r)
	case r.Number >= 0.9*o.Top:
		o.Below[r.Number]++
	}
}

// rise forgets what is too far below the new top.
func (o *scale) rise(top float64) {
	if o.Tops > 0 {
		o.Below[o.Top] += o.Tops
	}
	o.Top, o.Tops, o.At = top, 0, nil
	for v := range o.Below {
		if v < 0.9*top {
			delete(o.Below, v)
		}
	}
}

func (o *scale) reach(w words, c *record.Capture, r *record.Reading) {
	if o.Tops == 0 || o.First.Capture.Compare(c.Address()) > 0 {
		o.First = w.keepSpot(spotOf(c, r))
		o.Field, o.Text, o.Unit = w.keep(r.Measurement), strings.Clone(r.Text), w.keep(r.Unit)
	}
	if o.Tops++; len(o.At) < maxInRun {
		o.At = append(o.At, scaleReading{w.address(c.Address()), w.address(r.From())})
	}
}

func (s *scales) join(o *scales) {
	for name, theirs := range o.Of {
		if own := s.Of[name]; own != nil {
			own.join(theirs)
		} else {
			s.Of[name] = theirs
		}
	}
}

func (o *scale) join(from *scale) {
	if o.Below == nil { // none came from another machine
		o.Below = map[float64]int{}
	}
	o.N += from.N
	if from.Top > o.Top {
		o.rise(from.Top)
	}
	for v, n := range from.Below {
		if v >= 0.9*o.Top {
			o.Below[v] += n
		}
	}
	switch {
	case from.Top == o.Top:
		if o.Tops == 0 || from.First.before(&o.First) {
			o.First, o.Field, o.Text, o.Unit = from.First, from.Field, from.Text, from.Unit
		}
		o.Tops += from.Tops
		if o.At = append(o.At, from.At...); len(o.At) > maxInRun {
			o.sort()
			o.At = o.At[:maxInRun:maxInRun]
		}
	case from.Top >= 0.9*o.Top:
		o.Below[from.Top] += from.Tops
	}
}

func (o *scale) sort() {
	sorting.StableFunc(o.At, func(a, b scaleReading) int { return a.Capture.Compare(b.Capture) })
}

func (s *scales) ends() []record.Finding {
	var findings []record.Finding
	for name, o := range s.Of {
		below := 0
		for _, n := range o.Below {
			below += n
		}
		if o.Tops >= 3 && o.Tops > below {
			findings = append(findings, o.report(name, below))
		}
	}
	return findings
}

func (o *scale) report(name string, below int) record.Finding {
	if name == "" {
		name = "the scale"
	}
	o.sort()
	f := record.Finding{Rule: "end-of-scale", Level: record.Note, At: o.First.At, Capture: o.First.Key, Field: o.Field,
		Value: o.First.Verbatim, Group: fmt.Sprintf("masses by %s, n = %d", name, o.N),
		Figures: []record.Figure{{Name: "value", Value: o.Top}, {Name: "n", Value: float64(o.N)},
			{Name: "statistic", Value: float64(o.Tops)}, {Name: "threshold", Value: float64(max(3, below+1))}},
		Reason: fmt.Sprintf("%d masses are exactly %s %s, the largest by %s, and %d are in the 10 %% below it: heavier animals may have been recorded as the end of the scale.",
			o.Tops, o.Text, unitName(o.Unit), name, below)}
	for _, r := range o.At[1:] {
		f.Also = append(f.Also, r.At)
	}
	return f
}
