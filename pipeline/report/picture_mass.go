package report

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

// Fewest animals for a picture of mass on length, and for a line in it.
const (
	fewestForMass = 5
	fewestForLine = 8
)

// bodyLengths are the lengths that stand for the size of an animal, the usual
// one first (common practice).
var bodyLengths = []string{"snoutVentLength", "snoutUrostyleLength", "bodyLength", "trunkLength", "totalLength", "flipperLength", "forearmLength", "wingLength", "tibiaLength"}

// lengthOf chooses the length that mass is drawn against: the usual one that
// half of the weighed animals have, else the one that most have.
func (s *studio) lengthOf() string {
	have := map[string]int{}
	weighed := 0
	for _, c := range s.page.Captures {
		if c.Reading(bodyMass) == nil {
			continue
		}
		weighed++
		for _, name := range lengthsOf(c, s.page) {
			have[name]++
		}
	}
	for _, name := range bodyLengths {
		if 2*have[name] >= weighed && have[name] > 0 {
			return name
		}
	}
	best := ""
	for _, name := range slices.Sorted(maps.Keys(have)) {
		if best == "" || have[name] > have[best] {
			best = name
		}
	}
	return best
}

// lengthsOf names the lengths of a capture that are numbers above zero.
func lengthsOf(c *record.Capture, p *Page) []string {
	var out []string
	for i := range c.Readings {
		r := &c.Readings[i]
		if r.Usable() && r.Number > 0 && p.measure(r.Measurement).Kind == "length" && !slices.Contains(out, r.Measurement) {
			out = append(out, r.Measurement)
		}
	}
	return out
}

// massOnLength draws mass against length for every taxon.
func (s *studio) massOnLength() album {
	a := album{ID: "mass", Name: "Mass on length",
		Look: "Each mark is one animal. Both axes grow by equal factors, so animals that differ only in size lie along the line, which is fitted so that slips don't bend it. Look for marks away from it: a mass or a length written wrongly, or an animal that is thin, gravid or just fed. An arrow at the edge points to a value beyond the picture."}
	length := s.lengthOf()
	if length == "" {
		return a
	}
	byTaxon := map[string][]mark{}
	for _, c := range s.page.Captures {
		taxon := c.Get("scientificName")
		x, y := c.Reading(length), c.Reading(bodyMass)
		if taxon == "" || x == nil || y == nil || !(x.Number > 0) || !(y.Number > 0) {
			continue
		}
		byTaxon[taxon] = append(byTaxon[taxon], s.massMark(c, x, y))
	}
	few := 0
	for i, taxon := range byNumber(byTaxon) {
		switch {
		case len(byTaxon[taxon]) < fewestForMass:
			few++
		case i >= mostTaxa:
			s.leftOut("mass on length of %s", taxon)
		default:
			a.add(s.massScene(taxon, length, byTaxon[taxon]))
		}
	}
	if few > 0 {
		s.leftOut("mass on length of %s with fewer than %d animals", plural(few, "name"), fewestForMass)
	}
	return a
}

func (s *studio) massMark(c *record.Capture, x, y *record.Reading) mark {
	sex := c.Get("sex")
	size, mass := shownReading(x), shownReading(y)
	no := least(s.flags.readingNo(c, x), s.flags.readingNo(c, y))
	return mark{x: x.Number, y: y.Number, style: sexStyle(sex), no: no,
		say: fmt.Sprintf("%s, %s %s, %s %s", c.Key, size, x.Unit, mass, y.Unit),
		atX: size + " " + x.Unit, atY: mass + " " + y.Unit,
		line: []string{c.Key, sex, c.Get("lifeStage"), size, mass}}
}

func (s *studio) massScene(taxon, length string, marks []mark) scene {
	size, mass := s.page.measure(length), s.page.measure(bodyMass)
	sc := scene{title: taxon, height: 262, marks: marks,
		x:       axis{label: size.Label + unit(size.Unit), log: true},
		y:       axis{label: mass.Label + unit(mass.Unit), log: true},
		heading: []string{"capture", "sex", "lifeStage", length + unit(size.Unit), bodyMass + unit(mass.Unit)},
		key:     sexKey(marks)}
	sc.look = plural(len(marks), "animal") + "."
	if line, from, to, ok := massLine(marks); ok {
		sc.under = append(sc.under, lineLayer(line, from, to))
		sc.look = fmt.Sprintf("%s. Along the line mass grows with the power %.2f of length; about nineteen in twenty lie between the dotted lines.", plural(len(marks), "animal"), line.Slope)
	}
	sc.desc = fmt.Sprintf("%s of %s plotted against %s on logarithmic axes, %s.", capital(mass.Label), taxon, size.Label, plural(len(marks), "animal"))
	return sc
}

// massLine fits the robust line to the logarithms.
func massLine(marks []mark) (line statistics.RobustLine, from, to float64, ok bool) {
	x, y := make([]float64, len(marks)), make([]float64, len(marks))
	from, to = math.Inf(1), math.Inf(-1)
	for i, m := range marks {
		x[i], y[i] = math.Log(m.x), math.Log(m.y)
		if m.no == 0 {
			from, to = math.Min(from, x[i]), math.Max(to, x[i])
		}
	}
	if len(marks) < fewestForLine || !(from < to) {
		return line, from, to, false
	}
	line, err := statistics.MMLineFrom(x, y, 200)
	return line, from, to, err == nil
}

// lineLayer draws the line, and dotted lines two robust standard deviations
// from it.
func lineLayer(line statistics.RobustLine, from, to float64) layer {
	return func(c draw.Canvas, p *plot.Plot) {
		for _, off := range []float64{0, 2, -2} {
			st := draw.LineStyle{Color: inkQuiet.color(), Width: 1.2}
			if off != 0 {
				st.Width, st.Dashes = 0.9, []vg.Length{0.5, 3.5}
			}
			end := func(x float64) vg.Point {
				return vg.Point{X: c.X(p.X.Norm(math.Exp(x))), Y: c.Y(p.Y.Norm(math.Exp(line.At(x) + off*line.Scale)))}
			}
			c.StrokeLines(st, c.ClipLinesXY([]vg.Point{end(from), end(to)})...)
		}
	}
}

// sexKey lists the sexes among the marks.
func sexKey(marks []mark) []keyItem {
	var out []keyItem
	for _, sex := range []string{"female", "male", ""} {
		st := sexStyle(sex)
		if slices.ContainsFunc(marks, func(m mark) bool { return m.style == st }) {
			out = append(out, keyItem{st, sexName(sex)})
		}
	}
	return out
}

// byNumber lists names, those with most marks first.
func byNumber[T any](m map[string][]T) []string {
	names := slices.Sorted(maps.Keys(m))
	slices.SortStableFunc(names, func(a, b string) int { return cmp.Compare(len(m[b]), len(m[a])) })
	return names
}
