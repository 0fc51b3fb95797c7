package report

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

const fewestDigits = 50

// hand is one observer with one instrument.
type hand struct{ observer, instrument string }

// digits draws the last digits of lengths, by observer.
func (s *studio) digits() album {
	a := album{ID: "digit", Name: "Last digits by observer",
		Look: "Of lengths read to the nearest mark, each last digit is about as frequent as any other: the dotted line. Look for digits that tower over the rest, most often 0 and 5, where readings were rounded. A number that a spreadsheet stored without its last zero counts as ending in 0."}
	readings := map[hand][]*record.Reading{}
	for _, c := range s.page.Captures {
		observer := strings.Join(strings.Fields(cmp.Or(c.Get("measurementDeterminedBy"), c.Get("recordedBy"))), " ")
		if observer == "" {
			continue
		}
		for i := range c.Readings {
			r := &c.Readings[i]
			if r.State == record.Measured && !r.Derived && s.page.measure(r.Measurement).Kind == "length" {
				h := hand{observer, r.Instrument}
				readings[h] = append(readings[h], r)
			}
		}
	}
	hands := make([]hand, 0, len(readings))
	for h := range readings {
		hands = append(hands, h)
	}
	slices.SortFunc(hands, func(a, b hand) int {
		return cmp.Or(len(readings[b])-len(readings[a]), strings.Compare(a.observer, b.observer), strings.Compare(a.instrument, b.instrument))
	})
	for _, h := range hands {
		counts, n := lastDigits(readings[h])
		switch {
		case n < fewestDigits:
		case len(a.Pictures) == mostObservers:
			s.leftOut("last digits of %s", h.observer)
		default:
			a.add(digitScene(h, counts, n))
		}
	}
	return a
}

// lastDigits counts the last digits of readings with as many decimals as the
// hand usually writes. A workbook stores 9.0 as 9.
func lastDigits(rs []*record.Reading) (counts [10]int, n int) {
	per := map[int]int{}
	for _, r := range rs {
		if written(r) != "" {
			per[decimals(written(r))]++
		}
	}
	usual := 0
	for d, k := range per {
		if k > per[usual] || k == per[usual] && d > usual {
			usual = d
		}
	}
	for _, r := range rs {
		text := written(r)
		switch d := decimals(text); {
		case text == "":
			continue
		case d == usual:
			counts[text[len(text)-1]-'0']++
		case d < usual && r.From.Sheet != "":
			counts[0]++
		default:
			continue
		}
		n++
	}
	return counts, n
}

// written gives the plain number that a cell holds, "" where it holds more.
func written(r *record.Reading) string {
	text := strings.Replace(strings.TrimSpace(r.Verbatim), ",", ".", 1)
	if _, err := strconv.ParseFloat(text, 64); err != nil || strings.Trim(text, "0123456789.") != "" || strings.HasSuffix(text, ".") {
		return ""
	}
	return text
}

func decimals(text string) int {
	if i := strings.IndexByte(text, '.'); i >= 0 {
		return len(text) - i - 1
	}
	return 0
}

func digitScene(h hand, counts [10]int, n int) scene {
	sc := scene{title: h.observer, height: 150, heading: []string{"digit", "count", "share (%)"}, noThin: true,
		x: axis{label: "last digit", lo: -0.6, hi: 9.6, ticks: digitTicks()}, y: axis{label: "share (%)"}}
	if h.instrument != "" {
		sc.title += ", " + h.instrument
	}
	top := 12.0
	var told []string
	for d, k := range counts {
		share := 100 * float64(k) / float64(n)
		top = max(top, share*1.08)
		told = append(told, fmt.Sprintf("%d in %.0f %%", d, share))
		sc.marks = append(sc.marks, mark{x: float64(d), y: share, style: style{disc, inkOne},
			line: []string{strconv.Itoa(d), strconv.Itoa(k), strconv.FormatFloat(share, 'f', 1, 64)}})
	}
	sc.y.lo, sc.y.hi = 0, top
	sc.under = append(sc.under, levelLayer(10, draw.LineStyle{Color: inkQuiet.color(), Width: 0.9, Dashes: []vg.Length{0.5, 3.5}}, ""), stemLayer(sc.marks))
	t := statistics.TerminalDigits(counts, nil)
	sc.look = fmt.Sprintf("%s; chi-square %s with %d degrees of freedom.", plural(n, "reading"), figure(t.Statistic), t.Freedom)
	sc.desc = "Share of readings by last digit: " + strings.Join(told, ", ") + "."
	return sc
}

func digitTicks() plot.Ticker {
	var out plot.ConstantTicks
	for d := range 10 {
		out = append(out, plot.Tick{Value: float64(d), Label: strconv.Itoa(d)})
	}
	return out
}

// stemLayer draws a stroke from the foot of the picture to each mark.
func stemLayer(marks []mark) layer {
	return func(c draw.Canvas, p *plot.Plot) {
		for _, m := range marks {
			x := c.X(p.X.Norm(m.x))
			c.StrokeLine2(draw.LineStyle{Color: inkOne.color(), Width: 2}, x, c.Y(p.Y.Norm(0)), x, c.Y(p.Y.Norm(m.y)))
		}
	}
}
