package screen

import (
	"math"
	"slices"
)

// dimorphic are measurements in which the sexes of many species differ in shape,
// and dimorphicScatter how much more they may scatter where the sexes of too few
// animals are known (common practice: the ear drum of a male true frog
// is a third larger or more).
var dimorphic = map[string]bool{"tympanumDiameter": true}

const dimorphicScatter = 0.2

// stature is what a model expects of the animals of one stage and sex:
// what is the same for every view of one, worked out once.
type stature struct {
	ok     bool    // the model knows where their size lies
	size   place   // group that size is judged in
	pooled bool    // size is judged among all of the taxon
	spread float64 // standard deviation of the log size
	grown  branch
	young  branch    // the same where no line is bent
	scale  []float64 // about the line, leverage apart; 0 for the size itself
	places []groupPlace
	asSex  []string // the sexes that an animal whose sex is not known may be of
}

// branch is what is expected along the lines on one side of their bend.
type branch struct {
	mean  []float64
	slope []float64   // how the mean goes with size
	means [][]float64 // of the sexes that an animal may be of, in place of mean
}

// groupPlace is where one measurement of the group lies.
type groupPlace struct {
	place
	pooled, ok bool
}

// prepare readies a model for the groups of a survey.
func (m *model) prepare(groups map[groupKey]*groupSummary) {
	m.statures = make(map[groupKey]*stature, len(groups))
	for k := range groups {
		m.statures[k] = m.statureOf(k)
	}
}

// stature returns what is expected of a group.
func (m *model) stature(k groupKey) *stature {
	if s := m.statures[k]; s != nil {
		return s
	}
	return m.statureOf(k) // of a capture that is not in the summary
}

func (m *model) statureOf(k groupKey) *stature {
	n := len(m.names)
	s := &stature{grown: newBranch(n), young: newBranch(n), scale: make([]float64, n), places: make([]groupPlace, n)}
	s.size, s.pooled, s.ok = m.placeFor(m.names[0], k.stage, k.sex)
	s.spread = s.size.scale * s.size.widened
	if s.pooled && !m.common {
		s.spread = max(s.spread, m.anySize)
	}
	for j, name := range m.names {
		s.grown.mean[j], s.grown.slope[j] = s.size.centre, 1
		s.young.mean[j], s.young.slope[j] = s.size.centre, 1
		if j > 0 {
			l := &m.lines[j]
			c, scale := l.intercept(k.sex)
			if k.sex == "" && len(l.offset) > 0 {
				scale = l.scale
			}
			if dimorphic[name] && len(l.offset) < 2 {
				scale = math.Hypot(scale, dimorphicScatter)
			}
			s.scale[j] = scale * l.widened
			s.grown.mean[j], s.grown.slope[j] = c+l.slope*s.size.centre, l.slope
			s.young.mean[j], s.young.slope[j] = c-l.bend*l.knee+(l.slope+l.bend)*s.size.centre, l.slope+l.bend
		}
		p := &s.places[j]
		p.place, p.pooled, p.ok = m.placeFor(name, k.stage, k.sex)
	}
	if k.sex == "" {
		m.eachSex(s)
	}
	return s
}

// eachSex works out what is expected of an animal whose sex is not known, if it
// is of one sex or the other: it is of one of them, not of a kind between.
func (m *model) eachSex(s *stature) {
	for j := 1; j < len(m.names); j++ {
		for sex := range m.lines[j].offset {
			if !slices.Contains(s.asSex, sex) {
				s.asSex = append(s.asSex, sex)
			}
		}
	}
	slices.Sort(s.asSex)
	for _, sex := range s.asSex {
		for _, b := range []*branch{&s.grown, &s.young} {
			mean := slices.Clone(b.mean)
			for j := 1; j < len(m.names); j++ {
				if c, ok := m.lines[j].offset[sex]; ok {
					mean[j] += c - m.lines[j].all
				}
			}
			b.means = append(b.means, mean)
		}
	}
}

func newBranch(n int) branch { return branch{mean: make([]float64, n), slope: make([]float64, n)} }
