package season

import (
	"cmp"
	"strings"

	"spadefoot/pipeline/record"
)

// notStated is written where a capture does not say its species, sex, stage, site or
// season; all for every one of them.
const (
	notStated = "not stated"
	inDoubt   = "in doubt"
	All       = "all"
)

// group is what a capture is counted under.
type group struct{ species, sex, stage, site, season string }

func (g *group) clone() group {
	return group{strings.Clone(g.species), strings.Clone(g.sex), strings.Clone(g.stage), strings.Clone(g.site), strings.Clone(g.season)}
}

// groupOf returns the group of a capture, or the rule that keeps it out: its row,
// or one of the words that it would be counted under, is in doubt. A doubt about
// the site alone leaves it under no site.
func groupOf(t *stated, d *rowDoubts, on day) (g group, rule string) {
	if rule = d.whole(); rule != "" {
		return g, rule
	}
	word := func(at int) string {
		v := t[at]
		if v == nil {
			return notStated
		}
		if rule = cmp.Or(rule, d.onValue(v)); v.Wrong {
			rule = cmp.Or(rule, "date-outside-survey")
		}
		return cmp.Or(v.Text, notStated)
	}
	g = group{species: word(statedSpecies), sex: word(statedSex), stage: word(statedStage), season: cmp.Or(on.season, notStated)}
	word(statedDate) // on says what it tells; a doubt on it counts as on the others
	if rule != "" {
		return g, rule
	}
	if g.site = word(statedSite); rule != "" {
		g.site, rule = inDoubt, ""
	}
	return g, ""
}

// size is the value of a measurement of one animal: the mean of its repeats that
// are not in doubt.
type size struct {
	measurement, unit string
	sum               float64
	n                 int
	rule              string // of a doubt on one that was left out
	derived           bool
}

func (s *size) mean() float64 { return s.sum / float64(s.n) }

// sizesOf returns the sizes of a capture, in the order of its readings, in memory
// that is there.
func sizesOf(c *record.Capture, d *rowDoubts, sizes []size) []size {
	body, mass := bodyDoubt(c, d), massDoubt(c, d)
	several := ""
	if c.Several() {
		several = "measured on several animals"
	}
	for i := range c.Readings {
		r := &c.Readings[i]
		if !r.Usable() || r.Measurement == "grossMass" || r.Measurement == "bagMass" { // no sizes of the animal
			continue
		}
		rule := cmp.Or(d.onReading(r), several)
		switch {
		case r.State == record.Doubtful:
			rule = cmp.Or(rule, "doubted by the writer")
		case r.Derived && r.From().File != "": // a mass, at the cell of the gross
			rule = cmp.Or(rule, mass)
		case r.Derived:
			rule = cmp.Or(rule, body, mass)
		}
		k := len(sizes) - 1
		for k >= 0 && sizes[k].measurement != r.Measurement {
			k--
		}
		if k < 0 {
			k = len(sizes)
			sizes = append(sizes, size{measurement: r.Measurement, unit: r.Unit, derived: r.Derived && r.From().File == ""})
		}
		if s := &sizes[k]; rule != "" {
			s.rule = cmp.Or(s.rule, rule)
		} else {
			s.sum += r.Number
			s.n++
		}
	}
	return sizes
}

// bodyDoubt returns the rule of a doubt on a reading that indices are worked out
// from.
func bodyDoubt(c *record.Capture, d *rowDoubts) (rule string) {
	for i := range c.Readings {
		if r := &c.Readings[i]; !r.Derived && r.Usable() {
			rule = cmp.Or(rule, d.onReading(r))
		}
	}
	return rule
}

// massDoubt returns the rule of a doubt on what was read off the scale.
func massDoubt(c *record.Capture, d *rowDoubts) (rule string) {
	w := c.Weighing
	if w == nil {
		return ""
	}
	for r := range w.Readings() {
		rule = cmp.Or(rule, d.onReading(r))
		if r.State == record.Doubtful {
			rule = cmp.Or(rule, "doubted by the writer")
		}
	}
	return cmp.Or(rule, d.on(w.Bag))
}
