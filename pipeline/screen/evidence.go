package screen

import (
	"fmt"
	"math"

	"spadefoot/pipeline/record"
)

// evidence is one comparison of a value with what it should be like.
type evidence struct {
	rule      string
	text      string // "modified z 12.3 against 3.5"
	group     string
	n         int
	centre    float64 // in the unit of the measurement
	scale     float64 // of the log
	statistic float64
	threshold float64
	reference string
}

// excess is how far beyond its threshold the statistic lies.
func (e evidence) excess() float64 { return math.Abs(e.statistic) / e.threshold }

func (e evidence) figures(value float64) []record.Figure {
	return []record.Figure{
		{Name: "value", Value: value}, {Name: "n", Value: float64(e.n)},
		{Name: "centre", Value: e.centre}, {Name: "scale", Value: e.scale},
		{Name: "statistic", Value: e.statistic}, {Name: "threshold", Value: e.threshold},
	}
}

const (
	paperZ   = "Iglewicz and Hoaglin 1993"
	paperMM  = "Yohai 1987"
	paperMCD = "Rousseeuw and Van Driessen 1999"
)

// inGroup compares a cell with its group: the modified z-score of logs.
func (v *view) inGroup(i int, s Settings) (evidence, bool) {
	p := &v.stature.places[v.index[i]]
	if !p.ok {
		return evidence{}, false
	}
	c := v.cells[i]
	e := evidence{
		rule: "value-far", group: v.groupName(p.n, p.pooled), n: p.n, centre: math.Exp(p.centre),
		threshold: s.ModifiedZ * p.widened, reference: paperZ,
	}
	e.statistic, e.scale = p.modifiedZ(c)
	e.text = fmt.Sprintf("modified z %.3g (limit %.3g)", e.statistic, e.threshold)
	if p.way != "median absolute deviation" {
		e.text += ", scale by the " + p.way
	}
	return e, true
}

// modifiedZ is how far a cell lies from the centre of the group, in scales.
func (p *groupPlace) modifiedZ(c *cell) (z, scale float64) {
	scale = math.Hypot(p.side(c.log), c.resolution)
	return (c.log - c.bias - p.centre) / scale, scale
}

// onLine compares a cell with the line of its measurement on size.
func (v *view) onLine(i int, s Settings) (evidence, bool) {
	c, j := v.cells[i], v.index[i]
	size := v.row.find(v.model.names[0])
	if j == 0 || size == nil || v.model.lines[j].slope == 0 {
		return evidence{}, false
	}
	l := &v.model.lines[j]
	a, scale := l.intercept(v.as)
	scale = math.Hypot(scale*math.Sqrt(1+l.leverage(size.log)), c.resolution)
	height := a + l.rise(size.log)
	e := evidence{
		rule: "value-off-line", n: l.n, centre: math.Exp(height), scale: scale,
		statistic: (c.log - c.bias - height) / scale, threshold: s.LineCut * l.widened, reference: paperMM,
	}
	whose := v.taxonName()
	if v.model.common {
		whose = v.groupName(l.n, true)
	}
	slope := fmt.Sprintf("%.3g", l.slope)
	if l.bend != 0 {
		slope += fmt.Sprintf(" and, below %s, %.3g", v.showSize(l.knee), l.slope+l.bend)
	}
	e.group = fmt.Sprintf("%s, line of log %s on log %s, slope %s (major axis %.3g, %.3g to %.3g), n = %d", whose,
		label(c.measurement), label(v.model.names[0]), slope, l.axis.Slope, l.axis.Low, l.axis.High, l.n)
	e.text = fmt.Sprintf("%.3g robust standard deviations off the line on %s (limit %.3g)", e.statistic, label(v.model.names[0]), e.threshold)
	return e, true
}

// showSize writes a log size with the unit that sizes have.
func (v *view) showSize(log float64) string {
	return figures(math.Exp(log), 3) + " " + unitName(v.row.find(v.model.names[0]).first().Unit)
}

// amongOthers compares a cell with all other measurements of the animal.
func (v *view) amongOthers(i int, f *fitted) evidence {
	c, k := v.cells[i], len(v.cells)
	e := evidence{
		rule: "shape-unusual", group: v.groupName(v.stature.size.n, v.stature.pooled), n: v.model.captures,
		centre: math.Exp(v.expected(i)), scale: v.tolerance(i),
		statistic: v.square, threshold: f.cuts.distance[k].suspect, reference: paperMCD,
	}
	share := 0.0
	if v.square > 0 {
		share = min(1, v.alone(i)*v.alone(i)/v.square)
	}
	e.text = fmt.Sprintf("squared robust distance of the %d measurements %.3g (limit %.3g), %.0f %% of it from %s",
		k, v.square, e.threshold, 100*share, label(c.measurement))
	return e
}

func (v *view) taxonName() string {
	if v.row.taxon == "" {
		return "animals without a name"
	}
	return v.row.taxon
}

// groupName names what a capture was compared with, and says so where its own
// group was too small.
func (v *view) groupName(n int, pooled bool) string {
	if v.model.common {
		return fmt.Sprintf("animals of all taxa, n = %d (fewer than %d of %s)", n, v.model.minGroup, v.taxonName())
	}
	own := v.taxonName()
	for _, part := range []string{v.row.stage, v.row.sex} {
		if part != "" {
			own += ", " + part
		}
	}
	if !pooled {
		return fmt.Sprintf("%s, n = %d", own, n)
	}
	name := fmt.Sprintf("%s, all stages and sexes, n = %d", v.taxonName(), n)
	if own != v.taxonName() {
		name += fmt.Sprintf(" (fewer than %d of %s)", v.model.minGroup, own)
	}
	return name
}
