package report

import (
	"fmt"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

const fewestDigits = 50

// digits draws the last digits of lengths, by observer.
func (s *studio) digits() album {
	a := album{large: s.large, ID: "digit", Name: "Last digits by observer",
		Look: "In lengths read to the nearest mark, all last digits are about equally frequent: the dotted line. Look for digits that stand out, usually 0 and 5, where readings were rounded. A number that a spreadsheet stored without its last zero counts as ending in 0."}
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

func digitScene(h *hand, counts [10]int, n int) scene {
	sc := scene{title: h.observer, height: 150, heading: []string{"digit", "count", "share (%)"}, noThin: true,
		x: axis{label: "last digit", lo: -0.6, hi: 9.6, ticks: digitTicks()}, y: axis{label: "share (%)"}}
	if h.instrument != "" {
		sc.title += ", " + h.instrument
	}
	top := 12.0
	var shares []string
	for d, k := range counts {
		share := 100 * float64(k) / float64(n)
		top = max(top, share*1.08)
		shares = append(shares, fmt.Sprintf("%d in %.0f %%", d, share))
		sc.marks = append(sc.marks, mark{x: float64(d), y: share, style: style{disc, inkOne},
			note: func() note {
				return note{line: []string{strconv.Itoa(d), strconv.Itoa(k), strconv.FormatFloat(share, 'f', 1, 64)}}
			}})
	}
	sc.y.lo, sc.y.hi = 0, top
	sc.under = append(sc.under, levelLayer(10, stroke{inkQuiet, 0.9, "0.5,3.5"}, ""), stemLayer(sc.marks))
	t := statistics.TerminalDigits(counts, nil)
	sc.look = fmt.Sprintf("%s; chi-square %s with %d degrees of freedom.", record.Plural(n, "reading"), figure(t.Statistic), t.Freedom)
	sc.desc = "Share of readings by last digit: " + strings.Join(shares, ", ") + "."
	return sc
}

func digitTicks() ticker {
	var out []tick
	for d := range 10 {
		out = append(out, tick{float64(d), strconv.Itoa(d)})
	}
	return func(lo, hi float64) []tick { return out }
}

// stemLayer draws a stroke from the foot of the picture to each mark.
func stemLayer(marks []mark) layer {
	return func(a area) {
		for _, m := range marks {
			x := a.atX(m.x)
			a.line(stroke{ink: inkOne, width: 2}, x, a.atY(0), x, a.atY(m.y))
		}
	}
}
