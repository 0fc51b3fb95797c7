package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

const fewestTares = 5

// tares draws the masses of the bags through the sessions of every sheet.
func (s *studio) tares() album {
	a := album{ID: "tare", Name: "Bags through the sessions",
		Look: "Each mark is the bag of one capture, by date and then by row; upright lines part the sessions where they are few. Look for a bag far from the others of its session, and for a drift: bags grow heavier when they get wet."}
	bySheet := map[string][]*record.Capture{}
	var sheets []string
	for _, c := range s.page.Captures {
		name := record.Address{File: c.File, Sheet: c.Sheet}.String()
		if bySheet[name] == nil {
			sheets = append(sheets, name)
		}
		bySheet[name] = append(bySheet[name], c)
	}
	for _, name := range sheets {
		sc, ok := s.tareScene(name, bySheet[name])
		switch {
		case !ok:
		case len(a.Pictures) == mostSheets:
			s.leftOut("bags of %s", name)
		default:
			a.add(sc)
		}
	}
	return a
}

// tareScene draws one sheet. A sheet whose bags were not weighed, or that has
// one tare for all, has no picture.
func (s *studio) tareScene(name string, captures []*record.Capture) (scene, bool) {
	sc := scene{title: name, height: 190, heading: []string{"capture", "row", "session", "eventDate", "bag", "tare (g)"},
		x: axis{label: "capture, by date and row"}, y: axis{label: "mass of the bag (g)"}}
	var breaks []float64
	var values []float64
	session, last, own := 0, "", false
	captures = slices.Clone(captures)
	slices.SortStableFunc(captures, byDate)
	for _, c := range captures {
		w := c.Weighing
		if w == nil || w.Tare == nil || !w.Tare.Usable() {
			continue
		}
		if len(sc.marks) == 0 || c.Session != last {
			session++
			last = c.Session
			breaks = append(breaks, float64(len(sc.marks))+0.5)
		}
		no := least(s.flags.fieldNo(c, bagMass), s.flags.cellNo(c, w.Tare.From))
		own = own || w.Way == record.SameRow || w.Way == record.BagTable
		text := shownReading(w.Tare)
		sc.marks = append(sc.marks, mark{x: float64(len(sc.marks) + 1), y: w.Tare.Number, style: style{disc, inkOne}, no: no,
			say: fmt.Sprintf("%s, bag %s g", c.Key, text), atY: text + " g",
			line: []string{c.Key, number(c.Row), number(session), c.Get("eventDate"), w.BagLabel, text}})
		values = append(values, w.Tare.Number)
	}
	if len(sc.marks) < fewestTares || !own {
		return sc, false
	}
	if len(breaks) <= 26 {
		sc.under = append(sc.under, breakLayer(breaks[1:]))
	}
	slices.Sort(values)
	sc.look = fmt.Sprintf("%s in %s; the middle one weighs %s g.", plural(len(sc.marks), "bag"), plural(session, "session"), figure(statistics.Median(values)))
	sc.desc = fmt.Sprintf("Masses of the bags of %s by date and row, from %s g to %s g.", name, figure(values[0]), figure(values[len(values)-1]))
	return sc, true
}

// byDate orders captures of a sheet by date, session and row; those without a
// date come last.
func byDate(a, b *record.Capture) int {
	da, db := a.Get("eventDate"), b.Get("eventDate")
	return cmp.Or(truth(da == "")-truth(db == ""), strings.Compare(da, db), strings.Compare(a.Session, b.Session), a.Row-b.Row)
}

// breakLayer draws thin upright lines.
func breakLayer(at []float64) layer {
	return func(c draw.Canvas, p *plot.Plot) {
		for _, v := range at {
			x := c.X(p.X.Norm(v))
			c.StrokeLine2(draw.LineStyle{Color: inkLine.color(), Width: 0.7, Dashes: []vg.Length{2, 2}}, x, c.Min.Y, x, c.Max.Y)
		}
	}
}

// levelLayer draws a line across at a value, with a word at its end.
func levelLayer(v float64, st draw.LineStyle, word string) layer {
	return func(c draw.Canvas, p *plot.Plot) {
		if v < p.Y.Min || v > p.Y.Max {
			return
		}
		y := c.Y(p.Y.Norm(v))
		c.StrokeLine2(st, c.Min.X, y, c.Max.X, y)
		if word != "" {
			spans := span{text: word}
			write(c, inkQuiet.color(), smallType, c.Max.X-spans.width(smallType), y+3, spans)
		}
	}
}
