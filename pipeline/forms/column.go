package forms

import (
	"cmp"
	"fmt"
	"maps"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// term fills a column of a Darwin Core term.
func (p *planner) term(c *Column) {
	h := hintOf(c.Meaning.Term)
	c.Label, c.Says, c.Width, c.Ideal, c.Grow = "Darwin Core "+c.Meaning.Term, h.Says, h.Characters, h.Millimetres, h.Grow
	keyed := slices.Contains(p.form.Key, c.Meaning.Term)
	c.Session = !keyed && (h.Session != "" || c.Meaning.CarryDown || slices.Contains(p.form.Source.Session, c.Meaning.Term))
	c.Words = p.words(c.Meaning)
	if u, rest, ok := quantity.HeadingUnit(c.Heading); ok {
		c.Name, c.Unit = rest, quantity.Display(u)
	}
}

// words are the choices of a column: the team's own words first.
func (p *planner) words(m record.Meaning) []Word {
	own := m.Vocabulary
	if own == nil {
		own = p.form.Source.Words[m.Term]
	}
	var out []Word
	for _, text := range slices.Sorted(maps.Keys(own)) {
		out = append(out, Word{text, own[text]})
	}
	for _, w := range p.form.Choices[m.Term] {
		if w.Text != "" && !slices.ContainsFunc(out, func(o Word) bool { return o.Text == w.Text }) {
			out = append(out, w)
		}
	}
	return out
}

// measured fills a column of a measurement.
func (p *planner) measured(c *Column) {
	v, _ := vocabulary.FindMeasurement(c.Meaning.Measurement)
	c.Meaning.Unit = unitOf(c.Meaning)
	c.Label = cmp.Or(v.Label, spaced(c.Meaning.Measurement))
	c.Says = v.Definition
	if c.Meaning.Side != "" {
		c.Label += ", " + c.Meaning.Side
	}
	if c.Meaning.Replicate > 0 {
		c.Label += fmt.Sprintf(", reading %d", c.Meaning.Replicate)
		if c.Meaning.Replicate > 1 {
			c.Says = "Measure again afresh: open the jaws, do not look at the previous reading."
		}
	}
	if c.Meaning.Observer != "" {
		c.Label += ", by " + c.Meaning.Observer
	}
	p.number(c)
}

// part fills a column of a weighing.
func (p *planner) part(c *Column) {
	m := &c.Meaning
	w := p.form.Weighing
	switch m.Part {
	case record.Bag:
		c.Label, c.Says, c.Words, c.Width, c.Ideal = "bag used", "Label of the bag, as in the table of bags.", p.form.Bags, 10, 14
		return
	case record.Scale:
		c.Label, c.Says, c.Width, c.Ideal = "scale used", "Name of the scale.", 16, 20
		for _, i := range p.form.Instruments {
			if quantity.Dimension(i.Unit) == "mass" {
				c.Words = append(c.Words, Word{i.Name, instrumentSays(i)})
			}
		}
		return
	case record.Gross:
		c.Label, c.Says = "animal and bag together", "As the scale shows it with the animal in the bag, hanging still."
	case record.Tare:
		c.Label, c.Says = "the empty bag", "As the same scale shows it with the empty bag, as wet as it was with the animal in it."
		if w.Way == record.SessionTare && w.Tare > 0 {
			c.Says += fmt.Sprintf(" If left blank, the mapping's tare is used: %s %s.", plain(w.Tare), quantity.Display(cmp.Or(w.Unit, "g")))
		}
	case record.Net:
		c.Label, c.Says = "the animal alone", "Scale zeroed with the bag on, or subtracted by hand."
	}
	m.Unit = cmp.Or(m.Unit, w.Unit, "g")
	p.number(c)
}

// number puts the unit into the heading and fills what holds for all columns
// of numbers.
func (p *planner) number(c *Column) {
	m := c.Meaning
	c.Width, c.Ideal, c.Grow = 9, 14, 0.25
	c.Unit = quantity.Display(m.Unit)
	code, rest, ok := quantity.HeadingUnit(c.Heading)
	if ok {
		c.Name = rest
	}
	if c.Unit != "" && (!ok || code != m.Unit) {
		c.Heading = c.Name + " (" + c.Unit + ")"
	}
	switch quantity.Dimension(m.Unit) {
	case "length", "mass", "count", "time":
	default:
		c.Low = -beyond
	}
	name := cmp.Or(m.Instrument, map[bool]string{true: p.form.Weighing.Scale}[m.Role == record.WeighPart])
	for _, i := range p.form.Instruments {
		if i.Name == name && name != "" {
			c.Tool = instrumentName(i) + "."
			c.High, _ = convert(i.Capacity, i.Unit, m.Unit)
		}
	}
}

// beyond means no limit.
const beyond = 1e9

// instrumentName says which instrument is used and what it can show.
func instrumentName(i Instrument) string {
	s := record.Capital(i.Name)
	if d := instrumentSays(i); d != "" {
		s += " (" + d + ")"
	}
	return s
}

// instrumentSays returns the kind, the step and the capacity of an instrument.
func instrumentSays(i Instrument) string {
	var parts []string
	if i.Kind != "" && i.Kind != i.Name {
		parts = append(parts, i.Kind)
	}
	unit := quantity.Display(i.Unit)
	if i.Graduation > 0 {
		parts = append(parts, "steps of "+plain(i.Graduation)+" "+unit)
	}
	if i.Capacity > 0 {
		parts = append(parts, "up to "+plain(i.Capacity)+" "+unit)
	}
	return strings.Join(parts, ", ")
}

func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// convert takes a number from one unit to another of the same dimension; the
// exact factor keeps 10.8 cm at 108 mm.
func convert(v float64, from, to string) (float64, bool) {
	f, ok := quantity.Factor(from, to)
	if !ok {
		return 0, false
	}
	r, ok := new(big.Rat).SetString(plain(v))
	if !ok {
		return 0, false
	}
	out, _ := r.Mul(r, f).Float64()
	return out, true
}
