package report

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/report/plot"
	"spadefoot/pipeline/statistics"
)

const fewestTares = 5

// tares draws the masses of the bags through the sessions of every sheet.
func (s *studio) tares() album {
	a := album{large: s.large, ID: "tare", Name: "Bags by session",
		Hint: "Each mark is the bag of one capture, by date and then by row; vertical lines separate the sessions if they are few. Look for a bag far from the others of its session, and for a drift: bags get heavier when they are wet."}
	bySheet := map[*sheet][]*sketch{}
	for _, c := range s.kept {
		bySheet[c.sheet] = append(bySheet[c.sheet], c)
	}
	for _, sh := range s.inOrder() {
		name := record.Address{File: sh.file, Sheet: sh.name}.String()
		sc, ok := s.tareScene(name, sh, bySheet[sh])
		switch {
		case !ok:
		case len(a.Pictures) == maxSheets:
			s.leftOut("bags of %s", name)
		default:
			a.add(sc)
		}
	}
	return a
}

// tareScene draws one sheet. A sheet whose bags were not weighed, or that has
// one tare for all, has no picture.
func (s *studio) tareScene(name string, sh *sheet, captures []*sketch) (plot.Scene, bool) {
	sc := plot.Scene{Title: name, Height: 190, Heading: []string{"capture", "row", "session", "eventDate", "bag", "tare (g)"},
		X: plot.Axis{Label: "capture, by date and row"}, Y: plot.Axis{Label: "mass of the bag (g)"}}
	if sh.tares < fewestTares || !sh.own {
		return sc, false
	}
	var breaks, values []float64
	session, last := 0, ""
	sorting.Func(captures, byDate)
	for _, c := range captures {
		no := least(c.fieldNo(bagMass, rowColumn{}), c.cellNo(c.masses[1]))
		if !c.bagged || !drawn(c, no, sh.limit) {
			continue
		}
		if len(sc.Marks) == 0 || c.session != last {
			session++
			last = c.session
			breaks = append(breaks, float64(len(sc.Marks))+0.5)
		}
		in := session
		sc.Marks = append(sc.Marks, plot.Mark{X: float64(len(sc.Marks) + 1), Y: c.tare.number, Style: plot.Style{Shape: plot.Disc, Ink: plot.InkOne}, No: no, Note: func() plot.Note {
			return plot.Note{Text: fmt.Sprintf("%s, bag %s g", c.key, c.tare.text), AtY: c.tare.text + " g",
				Line: []string{c.key, strconv.Itoa(c.row), strconv.Itoa(in), c.date, c.bag, c.tare.text}}
		}})
		values = append(values, c.tare.number)
	}
	if len(sc.Marks) == 0 {
		return sc, false
	}
	sc.Total = s.total(sc.Marks, sh.tares)
	in := " in " + record.Plural(session, "session")
	if s.large { // the sample does not tell how many there are
		in = ""
	}
	if len(breaks) <= 26 {
		sc.Under = append(sc.Under, breakLayer(breaks[1:]))
	}
	slices.Sort(values)
	sc.Caption = fmt.Sprintf("%s%s; the median is %s g.", record.Plural(sc.Total, "bag"), in, figure(statistics.Median(values)))
	sc.Desc = fmt.Sprintf("Masses of the bags of %s by date and row, from %s g to %s g.", name, figure(values[0]), figure(values[len(values)-1]))
	return sc, true
}

// byDate orders captures of a sheet by date, session and row; those without a
// date come last.
func byDate(a, b *sketch) int {
	return cmp.Or(truth(a.date == "")-truth(b.date == ""), strings.Compare(a.date, b.date), strings.Compare(a.session, b.session), a.row-b.row, a.order-b.order)
}

// breakLayer draws thin upright lines.
func breakLayer(at []float64) plot.Layer {
	return func(a plot.Area) {
		for _, v := range at {
			x := a.AtX(v)
			a.Line(plot.Stroke{Ink: plot.InkLine, Width: 0.7, Dashes: "2,2"}, x, a.Min.Y, x, a.Max.Y)
		}
	}
}
