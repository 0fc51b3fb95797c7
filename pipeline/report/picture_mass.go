package report

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/report/plot"
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
func (s *studio) lengthOf() *measured {
	for _, name := range bodyLengths {
		if i, there := s.measures.At(name); there && s.measured[i].sized > 0 && 2*s.measured[i].sized >= s.weighed {
			return s.measured[i]
		}
	}
	var best *measured
	for _, m := range s.measured {
		if m.sized > 0 && (best == nil || m.sized > best.sized || m.sized == best.sized && m.name < best.name) {
			best = m
		}
	}
	return best
}

// massOnLength draws mass against length for every taxon.
func (s *studio) massOnLength() album {
	a := album{large: s.large, ID: "mass", Name: "Mass on length",
		Hint: "Each mark is one animal. Both axes are logarithmic, so animals that differ only in size lie along the line, which is fitted so that slips do not affect it. Look for marks away from it: a mass or length written wrongly, or an animal that is thin, gravid or just fed. An arrow at the edge points to a value outside the picture."}
	length := s.lengthOf()
	if length == nil {
		return a
	}
	at, _ := s.measures.At(bodyMass)
	mass := s.measured[at]
	marks, counted := map[string][]plot.Mark{}, map[string]int{}
	for name, t := range s.taxa {
		if n := countAt(t.pairs, length.index); n > 0 && name != "" {
			counted[name] = n
		}
	}
	for _, c := range s.kept {
		if m, ok := s.massMark(c, length, mass); ok {
			marks[c.group.taxon] = append(marks[c.group.taxon], m)
		}
	}
	few := 0
	for i, taxon := range frequent(counted) {
		switch {
		case counted[taxon] < fewestForMass:
			few++
		case i >= maxTaxa:
			s.leftOut("mass on length of %s", taxon)
		default:
			a.add(s.massScene(taxon, length, mass, marks[taxon], s.total(marks[taxon], counted[taxon])))
		}
	}
	if few > 0 {
		s.leftOut("mass on length of %s with fewer than %d animals", record.Plural(few, "name"), fewestForMass)
	}
	return a
}

// massMark is the mark of an animal that has both numbers.
func (s *studio) massMark(c *sketch, length, mass *measured) (plot.Mark, bool) {
	x, y := c.first(length.index), c.first(mass.index)
	if c.group.taxon == "" || x == nil || y == nil || !(x.number > 0) || !(y.number > 0) {
		return plot.Mark{}, false
	}
	no := least(s.readingNo(c, x), s.readingNo(c, y))
	return plot.Mark{X: x.number, Y: y.number, Style: plot.SexStyle(c.group.sex), No: no, Note: func() plot.Note { return s.massNote(c, x, y) }},
		drawn(c, no, max(c.group.of.limit, mass.limit))
}

// massNote is the note of a mark of mass on length.
func (s *studio) massNote(c *sketch, length, mass *reading) plot.Note {
	x, y := length.text+" "+s.unitOf(length), mass.text+" "+s.unitOf(mass)
	return plot.Note{Text: c.key + ", " + x + ", " + y, AtX: x, AtY: y, Line: []string{c.key, c.group.sex, c.group.stage, length.text, mass.text}}
}

func (s *studio) massScene(taxon string, length, mass *measured, marks []plot.Mark, total int) plot.Scene {
	sc := plot.Scene{Title: taxon, Height: 262, Marks: marks, Total: total,
		X:       plot.Axis{Label: length.Label + InUnit(length.Unit), Log: true},
		Y:       plot.Axis{Label: mass.Label + InUnit(mass.Unit), Log: true},
		Heading: []string{"capture", "sex", "lifeStage", length.name + InUnit(length.Unit), bodyMass + InUnit(mass.Unit)},
		Key:     sexKey(marks)}
	sc.Caption = record.Plural(total, "animal") + "."
	if line, from, to, ok := massLine(marks); ok {
		sc.Under = append(sc.Under, lineLayer(line, from, to))
		sc.Caption = fmt.Sprintf("%s. Along the line, mass grows as length to the power %.2f; about nineteen in twenty animals lie between the dotted lines.", record.Plural(total, "animal"), line.Slope)
	}
	sc.Desc = fmt.Sprintf("%s of %s plotted against %s on logarithmic axes, %s.", record.Capital(mass.Label), taxon, length.Label, record.Plural(total, "animal"))
	return sc
}

// massLine fits the robust line to the logarithms.
func massLine(marks []plot.Mark) (line statistics.RobustLine, from, to float64, ok bool) {
	x, y := make([]float64, len(marks)), make([]float64, len(marks))
	from, to = math.Inf(1), math.Inf(-1)
	for i, m := range marks {
		x[i], y[i] = math.Log(m.X), math.Log(m.Y)
		if m.No == 0 {
			from, to = math.Min(from, x[i]), math.Max(to, x[i])
		}
	}
	if len(marks) < fewestForLine || !(from < to) {
		return line, from, to, false
	}
	line, err := statistics.QuickMMLine(x, y)
	return line, from, to, err == nil
}

// lineLayer draws the line, and dotted lines two robust standard deviations
// from it.
func lineLayer(line statistics.RobustLine, from, to float64) plot.Layer {
	return func(a plot.Area) {
		for _, off := range []float64{0, 2, -2} {
			st := plot.Stroke{Ink: plot.InkQuiet, Width: 1.2}
			if off != 0 {
				st.Width, st.Dashes = 0.9, "0.5,3.5"
			}
			end := func(x float64) plot.Point {
				return plot.Point{X: a.AtX(math.Exp(x)), Y: a.AtY(math.Exp(line.At(x) + off*line.Scale))}
			}
			if start, stop, ok := a.Clipped(end(from), end(to)); ok {
				a.Lines(st, start, stop)
			}
		}
	}
}

// sexKey lists the sexes among the marks.
func sexKey(marks []plot.Mark) []plot.KeyItem {
	var out []plot.KeyItem
	for _, sex := range []string{"female", "male", ""} {
		st := plot.SexStyle(sex)
		if slices.ContainsFunc(marks, func(m plot.Mark) bool { return m.Style == st }) {
			out = append(out, plot.KeyItem{Style: st, Text: plot.SexName(sex)})
		}
	}
	return out
}

// frequent lists names, those with the largest number first.
func frequent(numbers map[string]int) []string {
	names := slices.Sorted(maps.Keys(numbers))
	sorting.StableFunc(names, func(a, b string) int { return cmp.Compare(numbers[b], numbers[a]) })
	return names
}
