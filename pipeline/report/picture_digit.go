package report

import (
	"fmt"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/plot"
	"spadefoot/pipeline/statistics"
)

const fewestDigits = 50

// digits draws the last digits of lengths, by observer.
func (s *studio) digits() album {
	a := album{large: s.large, ID: "digit", Name: "Last digits by observer",
		Hint: "In lengths read to the nearest mark, all last digits are about equally frequent: the dotted line. Look for digits that stand out, usually 0 and 5, where readings were rounded. A number that a spreadsheet stored without its last zero counts as ending in 0."}
	for _, h := range s.hands.sorted() {
		counts, n := h.digits()
		switch {
		case n < fewestDigits:
		case len(a.Pictures) == maxObservers:
			s.leftOut("last digits of %s", h.observer)
		default:
			a.add(digitScene(h, counts, n))
		}
	}
	return a
}

func digitScene(h *hand, counts [10]int, n int) plot.Scene {
	sc := plot.Scene{Title: h.observer, Height: 150, Heading: []string{"digit", "count", "share (%)"}, NoThin: true,
		X: plot.Axis{Label: "last digit", Lo: -0.6, Hi: 9.6, Ticks: digitTicks()}, Y: plot.Axis{Label: "share (%)"}}
	if h.instrument != "" {
		sc.Title += ", " + h.instrument
	}
	top := 12.0
	var shares []string
	for d, k := range counts {
		share := 100 * float64(k) / float64(n)
		top = max(top, share*1.08)
		shares = append(shares, fmt.Sprintf("%d in %.0f %%", d, share))
		sc.Marks = append(sc.Marks, plot.Mark{X: float64(d), Y: share, Style: plot.Style{Shape: plot.Disc, Ink: plot.InkOne},
			Note: func() plot.Note {
				return plot.Note{Line: []string{strconv.Itoa(d), strconv.Itoa(k), strconv.FormatFloat(share, 'f', 1, 64)}}
			}})
	}
	sc.Y.Lo, sc.Y.Hi = 0, top
	sc.Under = append(sc.Under, plot.Level(10, plot.Stroke{Ink: plot.InkQuiet, Width: 0.9, Dashes: "0.5,3.5"}, ""), stemLayer(sc.Marks))
	t := statistics.TerminalDigits(counts, nil)
	sc.Caption = fmt.Sprintf("%s; chi-square %s with %d degrees of freedom.", record.Plural(n, "reading"), figure(t.Statistic), t.Freedom)
	sc.Desc = "Share of readings by last digit: " + strings.Join(shares, ", ") + "."
	return sc
}

func digitTicks() plot.Ticker {
	var out []plot.Tick
	for d := range 10 {
		out = append(out, plot.Tick{Value: float64(d), Label: strconv.Itoa(d)})
	}
	return func(lo, hi float64) []plot.Tick { return out }
}

// stemLayer draws a stroke from the foot of the picture to each mark.
func stemLayer(marks []plot.Mark) plot.Layer {
	return func(a plot.Area) {
		for _, m := range marks {
			x := a.AtX(m.X)
			a.Line(plot.Stroke{Ink: plot.InkOne, Width: 2}, x, a.AtY(0), x, a.AtY(m.Y))
		}
	}
}
