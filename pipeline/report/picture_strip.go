package report

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/report/plot"
	"spadefoot/pipeline/statistics"
)

const fewestForStrip = 10

// strip is a taxon, life stage and sex.
type strip struct{ taxon, stage, sex string }

func (a strip) compare(b strip) int {
	return cmp.Or(strings.Compare(a.taxon, b.taxon), strings.Compare(a.stage, b.stage), strings.Compare(a.sex, b.sex))
}

// strips draws every measurement by taxon, life stage and sex.
func (s *studio) strips() album {
	a := album{large: s.large, ID: "strip", Name: "Measurements by group",
		Hint: "Each row is one taxon and sex (and life stage, if there are several), each mark one animal, and the vertical stroke the median. Look for marks apart from their row; those with a ring are described above under the number beside them."}
	for i, m := range s.taken() {
		if i >= maxMeasures {
			s.leftOut("groups of %s", m.Label)
			continue
		}
		a.add(s.stripScene(m))
	}
	return a
}

// taken lists the measurements that people took, and the mass of the animal,
// in the order of the outputs.
func (s *studio) taken() []*measured {
	var names []string
	for _, m := range s.measured {
		if m.taken >= fewestForStrip {
			names = append(names, m.name)
		}
	}
	slices.Sort(names)
	if s.asked.Order != nil {
		names = s.asked.Order(names)
	}
	out := make([]*measured, len(names))
	for i, name := range names {
		at, _ := s.measures.At(name)
		out[i] = s.measured[at]
	}
	return out
}

// rowMarks are the marks of a group in a picture of strips.
type rowMarks struct {
	strip
	n     int // animals, with those that have no mark
	marks []plot.Mark
}

func (s *studio) stripScene(m *measured) plot.Scene {
	groups := map[*group]*rowMarks{}
	values := make([]float64, 0, len(s.kept))
	for _, c := range s.kept {
		r := c.first(m.index)
		if r == nil {
			continue
		}
		no := s.readingNo(c, r)
		if !drawn(c, no, max(m.limit, c.group.limit, c.group.of.limit)) {
			continue
		}
		g := groups[c.group]
		if g == nil {
			g = &rowMarks{strip: c.group.strip, marks: make([]plot.Mark, 0, countAt(c.group.first, m.index)*len(s.kept)/s.n)}
			groups[c.group] = g
		}
		g.marks = append(g.marks, plot.Mark{X: r.number, Style: plot.SexStyle(g.sex), No: no, Note: func() plot.Note {
			return plot.Note{Text: fmt.Sprintf("%s, %s %s", c.key, r.text, s.unitOf(r)), AtX: r.text, Line: []string{c.key, g.taxon, g.stage, g.sex, r.text}}
		}})
		g.n = s.total(g.marks, countAt(c.group.first, m.index))
		values = append(values, r.number)
	}
	chosen := s.rowsOf(m, groups)
	sc := plot.Scene{Title: record.Capital(m.Label), Heading: []string{"capture", "scientificName", "lifeStage", "sex", m.name + InUnit(m.Unit)},
		X: plot.Axis{Label: m.Label + InUnit(m.Unit), Log: wide(values)}}
	stages := severalStages(chosen)
	sc.Marks = make([]plot.Mark, 0, len(values))
	for i, g := range chosen {
		y := float64(len(chosen) - 1 - i)
		sc.Rows = append(sc.Rows, plot.RowLabel{Y: y, Spans: s.rowName(g.strip, stages)})
		for j, mk := range g.marks {
			mk.Y = y + jitter(j)
			sc.Marks = append(sc.Marks, mk)
		}
		sc.Total += g.n
	}
	sc.Y = plot.Axis{Lo: -0.6, Hi: float64(len(chosen)) - 0.4, Hidden: true}
	sc.Height = float64(48 + 21*len(chosen))
	sc.Key = sexKey(sc.Marks)
	if len(sc.Key) > 0 {
		sc.Height += plot.TopLine
	}
	sc.Over = append(sc.Over, medianLayer(chosen))
	sc.Caption = fmt.Sprintf("%s in %s.", record.Plural(sc.Total, "animal"), record.Plural(len(chosen), "group"))
	if sc.X.Log {
		sc.Caption += " The axis is logarithmic."
	}
	sc.Desc = fmt.Sprintf("Values of %s in rows by group: %s.", m.Label, strings.Join(medians(chosen, m.Unit), "; "))
	return sc
}

// rowsOf chooses the groups that are drawn, the larger ones where there are
// too many, in the order of their names.
func (s *studio) rowsOf(m *measured, groups map[*group]*rowMarks) []*rowMarks {
	all := sorting.SortedFunc(maps.Values(groups), func(a, b *rowMarks) int { return cmp.Or(b.n-a.n, a.compare(b.strip)) })
	if n := len(all) - maxStrips; n > 0 {
		s.leftOut("%s of %s", record.Plural(n, "smaller group"), m.Label)
		all = all[:maxStrips]
	}
	sorting.Func(all, func(a, b *rowMarks) int { return a.compare(b.strip) })
	return all
}

func severalStages(gs []*rowMarks) bool {
	return slices.ContainsFunc(gs, func(g *rowMarks) bool { return g.stage != gs[0].stage })
}

func (s *studio) rowName(g strip, stages bool) []plot.Span {
	taxon := plot.Span{Text: s.names.of(g.taxon), Italic: true}
	if g.taxon == "" {
		taxon = plot.Span{Text: "no name"}
	}
	rest := ""
	if stages && g.stage != "" {
		rest += " " + g.stage
	}
	if g.sex != "" {
		rest += " " + g.sex
	}
	return []plot.Span{taxon, {Text: rest}}
}

// jitter spreads the marks of a row so that equal values can be told apart:
// steps of the golden ratio, which fill a row evenly.
func jitter(i int) float64 {
	_, part := math.Modf(float64(i)*0.6180339887 + 0.5)
	return (part - 0.5) * 0.56
}

// wide reports whether values span so much that a linear axis would crowd the
// small ones.
func wide(values []float64) bool {
	v := slices.Clone(values)
	slices.Sort(v)
	lo, hi := v[len(v)/20], v[len(v)-1-len(v)/20]
	return v[0] > 0 && hi > 6*lo
}

// median is the median of a row without its flagged marks.
func median(marks []plot.Mark) (float64, int) {
	var v []float64
	for _, m := range marks {
		if m.No == 0 {
			v = append(v, m.X)
		}
	}
	return statistics.Median(v), len(v)
}

func medians(gs []*rowMarks, unit string) []string {
	out := make([]string, len(gs))
	for i, g := range gs {
		name := strings.Join(strings.Fields(g.taxon+" "+g.stage+" "+g.sex), " ")
		v, n := median(g.marks)
		if n == 0 {
			out[i] = name + ", no undoubted value"
			continue
		}
		out[i] = fmt.Sprintf("%s, median %s %s of %d", name, figure(v), unit, n)
	}
	return out
}

func medianLayer(gs []*rowMarks) plot.Layer {
	return func(a plot.Area) {
		for i, g := range gs {
			v, n := median(g.marks)
			if n < 3 || a.X.Log && !(v > 0) {
				continue
			}
			x, y := a.AtX(v), float64(len(gs)-1-i)
			a.Line(plot.Stroke{Ink: plot.InkText, Width: 1.5}, x, a.AtY(y-0.42), x, a.AtY(y+0.42))
		}
	}
}
