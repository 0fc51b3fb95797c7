package screen

import (
	"cmp"
	"math"
	"slices"

	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/statistics"
)

// Young animals often have other proportions than grown ones, so that the line of
// a measurement on size has a bend where they are grown. Where that is, the stages
// that were written tell, and where stages are blank the classes of size do; a line
// is bent only where that fits markedly better.

// youngStages are those of animals with the shape of their parents.
var youngStages = []string{"juvenile", "immature", "metamorph", "hatchling", "neonate", "nestling", "fledgling"}

const (
	minForClasses = 30   // sizes without a stage
	maxClasses    = 3    // young, males and females
	classScale    = 0.02 // least standard deviation of the log sizes of a class
	farFromAll    = 5    // sizes so many times the median, or so small a part of it, are slips
	markedly      = 10   // difference of the information criterion (very strong: Kass and Raftery 1995)
)

// bendLines bends the lines of a model where its animals are grown.
func (m *model) bendLines(t *taxonSummary, s Settings) {
	most := 0.0
	straight := slices.Clone(m.lines)
	for _, knee := range m.knees(t, s) {
		lines, total := slices.Clone(straight), 0.0
		for j := 1; j < len(lines); j++ {
			if straight[j].slope == 0 {
				continue
			}
			if bent, gain := m.bent(&straight[j], m.pointsOf(t.kept, j), j, knee, s); gain >= markedly {
				lines[j] = bent
				total += gain
			}
		}
		if total > most {
			m.lines, m.knee, most = lines, knee, total
		}
	}
}

// knees lists the log sizes from which animals may be grown.
func (m *model) knees(t *taxonSummary, s Settings) (knees []float64) {
	var young, grown, blank statistics.Sample
	for k, sample := range t.samples() {
		switch {
		case k.measurement != m.names[0]:
		case k.stage == "":
			blank.Merge(sample)
		case k.stage == "adult":
			grown.Merge(sample)
		case slices.Contains(youngStages, k.stage):
			young.Merge(sample)
		}
	}
	if young.Len() >= s.MinGroup && grown.Len() >= s.MinGroup {
		if a, b := classOf(&young), classOf(&grown); a.Mean < b.Mean {
			knees = append(knees, statistics.Between(a, b))
		}
	}
	classes := ageClasses(&blank)
	for i := 1; i < len(classes); i++ {
		if least := float64(s.MinGroup) / float64(blank.Len()); classes[i-1].Share >= least && classes[i].Share >= least {
			knees = append(knees, statistics.Between(classes[i-1], classes[i]))
		}
	}
	return knees
}

func classOf(sample *statistics.Sample) statistics.NormalClass {
	c := sample.Centre()
	scale, _ := c.Scale(classScale)
	return statistics.NormalClass{Share: 0.5, Mean: c.Median, Scale: scale}
}

// ageClasses parts the log sizes of animals whose stage is not known into classes,
// as many as the information criterion asks for.
func ageClasses(sizes *statistics.Sample) []statistics.NormalClass {
	if sizes.Len() < minForClasses {
		return nil
	}
	middle := sizes.Median()
	near := sizes.Mapped(func(v float64) float64 {
		if math.Abs(v-middle) < math.Log(farFromAll) {
			return v
		}
		return nan
	})
	best := statistics.NormalMixture{BIC: math.Inf(1)}
	for k := 1; k <= maxClasses; k++ {
		if m, err := statistics.MixtureOf(&near, k, classScale, best.BIC); err == nil && (best.Classes == nil || m.BIC < best.BIC) {
			best = m
		}
	}
	return best.Classes
}

// bent returns the line of measurement j with a bend at the knee, and by how much
// it fits better than the straight one: the difference of their robust likelihoods
// (Ronchetti 1982) less what its two parameters more cost (Schwarz 1978).
func (m *model) bent(straight *line, p points, j int, knee float64, s Settings) (bent line, gain float64) {
	start, ok := m.brokenStart(straight, p, knee, s)
	if !ok {
		return bent, 0
	}
	scale := max(reweightedScale(start), s.MinScale)
	expected, spread := expectedSlope(m.names[0], m.names[j])
	known := scale * scale / (spread * spread)
	columns, prior, weight := p.columns(straight, knee)
	prior[0], weight[0], weight[1] = expected, known, known
	broken, err := statistics.BisquareRegression(columns, p.y, start, scale, prior, weight)
	if err != nil {
		return bent, 0
	}
	for i := range columns {
		columns[i] = slices.Delete(columns[i], 1, 2)
	}
	unbroken, err := statistics.BisquareRegression(columns, p.y, straight.residuals(p), scale, slices.Delete(prior, 1, 2), slices.Delete(weight, 1, 2))
	if err != nil {
		return bent, 0
	}
	bent = *straight
	bent.offset = map[string]float64{}
	bent.slope, bent.bend, bent.knee = broken.Coefficients[0], broken.Coefficients[1], knee
	if !(bent.slope > 0) || !(bent.slope+bent.bend > 0) {
		return bent, 0
	}
	bent.centre(p, s)
	bent.spread(p, s)
	return bent, 2*(unbroken.Loss-broken.Loss) - 2*math.Log(float64(len(p.x)))
}

// brokenStart returns the residuals from the robust line of the grown, and of the
// young from that bent through the weighted median of what they ask for; false
// where either are too few.
func (m *model) brokenStart(straight *line, p points, knee float64, s Settings) (rest []float64, ok bool) {
	var grown points
	for i, x := range p.x {
		if x >= knee {
			grown.x, grown.y, grown.sex = append(grown.x, x), append(grown.y, p.y[i]), append(grown.sex, p.sex[i])
		}
	}
	if len(grown.x) < s.MinGroup || len(p.x)-len(grown.x) < s.MinGroup {
		return nil, false
	}
	l := line{slope: straight.slope, offset: map[string]float64{}}
	if slope, _, err := m.slope(grown, s); err == nil {
		l.slope = slope
	}
	l.centre(grown, s)
	l.scale = straight.scale
	rest = l.residuals(p)
	var bends []weighted
	for i, x := range p.x {
		if x < knee {
			bends = append(bends, weighted{rest[i] / (x - knee), knee - x})
		}
	}
	bend := weightedMedian(bends)
	for i, x := range p.x {
		rest[i] -= bend * min(0, x-knee)
	}
	return rest, true
}

// columns are, for each point, size, size below the knee, and which sex it is of:
// those that have an intercept of their own, or another.
func (p points) columns(l *line, knee float64) (rows [][]float64, prior, weight []float64) {
	sexes := make([]string, 0, len(l.offset))
	for sex := range l.offset {
		sexes = append(sexes, sex)
	}
	slices.Sort(sexes)
	others := false
	for _, sex := range p.sex {
		others = others || !slices.Contains(sexes, sex)
	}
	n := 2 + len(sexes)
	if others {
		n++
	}
	rows = make([][]float64, len(p.x))
	for i, x := range p.x {
		rows[i] = make([]float64, n)
		rows[i][0], rows[i][1] = x, min(0, x-knee)
		at := slices.Index(sexes, p.sex[i])
		if at < 0 {
			at = len(sexes)
		}
		rows[i][2+at] = 1
	}
	return rows, make([]float64, n), make([]float64, n)
}

// residuals are those from the line of each point's sex.
func (l *line) residuals(p points) []float64 {
	rest := make([]float64, len(p.x))
	for i, x := range p.x {
		rest[i] = p.y[i] - l.rise(x)
		c, _ := l.nearest(p.sex[i], rest[i])
		rest[i] -= c
	}
	return rest
}

type weighted struct{ value, weight float64 }

// weightedMedian is the value that half of the weight lies up to.
func weightedMedian(all []weighted) float64 {
	sorting.Func(all, func(a, b weighted) int { return cmp.Compare(a.value, b.value) })
	total, seen := 0.0, 0.0
	for _, w := range all {
		total += w.weight
	}
	for _, w := range all {
		if seen += w.weight; 2*seen >= total {
			return w.value
		}
	}
	return 0
}

// votesYoung reports whether most measurements of an animal are below what the
// lines have at the knee; the size decides where as many are above.
func (v *view) votesYoung() bool {
	m, below, votes := v.model, false, 0
	for i, j := range v.index {
		at := m.knee
		if j > 0 {
			if m.lines[j].slope == 0 {
				continue
			}
			at = m.lines[j].all + m.lines[j].rise(m.knee)
		}
		young := v.cells[i].log < at
		if young {
			votes++
		} else {
			votes--
		}
		below = below || young && j == 0
	}
	return votes > 0 || votes == 0 && below
}
