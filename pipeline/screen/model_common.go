package screen

import "maps"

// Scatter of shape between species, on the log scale, that the model of all
// taxa allows at least (common practice: frogs of one family differ by some
// 20 % in the length of a limb at the same body length).
const (
	commonLength = 0.25
	commonMass   = 0.5
	commonSize   = 0.8
	commonRows   = 500 // captures that it is fitted to
)

// fitCommon returns one wide model of all taxa together. It stands in for taxa
// of which there are too few captures, and is good for gross slips only; nil
// where the survey is small.
func fitCommon(s *Summary, names []string) *model {
	everything := NewSummary(s.settings)
	all := everything.taxon("")
	together := all.group(everything.words, groupKey{})
	groups := map[groupKey]*groupSummary{}
	for _, name := range names {
		t := s.taxa[name]
		all.captures += t.captures
		maps.Copy(groups, t.groups)
		for k, v := range t.samples() {
			together.slot(everything, k.measurement, 0).logs.Merge(v)
		}
		for _, o := range t.kept {
			o.stage, o.sex = "", ""
			all.kept = append(all.kept, o)
		}
	}
	if all.captures < 2*s.settings.MinGroup {
		return nil
	}
	all.prune(min(s.settings.MaxRows, commonRows))
	m := fitTaxon("all taxa of the survey", all, s.settings)
	if m == nil {
		return nil
	}
	m.common = true
	m.relation, m.related = identity(len(m.names)), "none"
	for k, p := range m.places {
		if k.measurement == m.names[0] {
			p.scale = max(p.scale, commonSize)
			p.below, p.above = max(p.below, p.scale), max(p.above, p.scale)
			m.places[k] = p
		}
	}
	for j := range m.lines {
		l := &m.lines[j]
		least := commonLength
		if isMass(m.names[j]) {
			least = commonMass
		}
		l.scale, l.pooled = max(2*l.scale, least), max(2*l.pooled, least)
	}
	m.prepare(groups)
	return m
}

// gross are the slips that a wide model can detect.
var gross = [numberOfSlips]bool{
	tenTooSmall: true, tenTooLarge: true, hundredTooSmall: true, hundredTooLarge: true, inInches: true, inCentimetres: true, inMillimetres: true, inOunces: true,
	digitDoubled: true, digitDropped: true,
}

// grossOnly reports whether a verdict by the model of all taxa may stand: one cell, or
// lengths in another unit, as good as certainly wrong by gross slips, whichever of them
// it was.
func grossOnly(d verdict) bool {
	return (len(d.cells) == 1 || d.ofSeveral()) && d.share > 0.9 && d.grossly()
}
