package report

import (
	"cmp"
	"math"

	"spadefoot/pipeline/record/sorting"
)

// drawMarks draws the marks in order: plain ones, one path for each style, and
// then the flagged ones with their labels.
func (s *scene) drawMarks(a area, links []svgLink) {
	at := make([]point, len(s.marks))
	beyond := make([]edge, len(s.marks))
	for i, m := range s.marks {
		at[i], beyond[i] = a.place(m.x, m.y)
	}
	var styles []style
	plain := map[style][]point{}
	var lost []point
	for i, m := range s.marks {
		if m.no == unshown {
			lost = append(lost, at[i])
		}
		if m.no > 0 || beyond[i] != (edge{}) {
			continue
		}
		if plain[m.style] == nil {
			styles = append(styles, m.style)
		}
		plain[m.style] = append(plain[m.style], at[i])
	}
	sorting.Func(styles, func(a, b style) int { return int(a.shape)*100 + int(a.ink) - int(b.shape)*100 - int(b.ink) })
	for _, st := range styles {
		st.shape.paint(a.canvas, st.ink, plain[st], markSize)
	}
	ring.paint(a.canvas, inkFlag, lost, ringSize)
	covered := at
	for _, m := range s.cover {
		v, _ := a.place(m.x, m.y)
		covered = append(covered[:len(covered):len(covered)], v)
	}
	s.drawFlags(a, at, covered, beyond, links)
}

// place puts a value on the canvas, at the edge if it lies beyond. A value
// that a logarithmic axis can't show lies beyond its low end.
func (a area) place(x, y float64) (point, edge) {
	nx, ny := a.x.share(x), a.y.share(y)
	cx, cy := math.Min(math.Max(nx, 0), 1), math.Min(math.Max(ny, 0), 1)
	return point{a.min.x + cx*(a.max.x-a.min.x), a.min.y + cy*(a.max.y-a.min.y)}, edge{cmp.Compare(nx, cx), cmp.Compare(ny, cy)}
}

// edge says beyond which edges a mark lies: -1, 0 or 1 each way.
type edge struct{ x, y int }
