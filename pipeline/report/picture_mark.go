package report

import (
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// drawMarks draws the marks in order: plain ones, one path for each style, and
// then the flagged ones with their labels.
func (s *scene) drawMarks(c draw.Canvas, p *plot.Plot, links []svgLink) {
	at := make([]vg.Point, len(s.marks))
	beyond := make([]edge, len(s.marks))
	for i, m := range s.marks {
		at[i], beyond[i] = place(c, p, m.x, m.y)
	}
	var styles []style
	plain := map[style][]vg.Point{}
	var lost []vg.Point
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
	slices.SortFunc(styles, func(a, b style) int { return int(a.shape)*100 + int(a.ink) - int(b.shape)*100 - int(b.ink) })
	for _, st := range styles {
		st.shape.paint(c, st.ink.color(), plain[st], markSize)
	}
	ring.paint(c, inkFlag.color(), lost, ringSize)
	covered := at
	for _, m := range s.cover {
		v, _ := place(c, p, m.x, m.y)
		covered = append(covered[:len(covered):len(covered)], v)
	}
	s.drawFlags(c, at, covered, beyond, links)
}

// place puts a value on the canvas, at the edge if it lies beyond. A value
// that a logarithmic axis can't show lies beyond its low end.
func place(c draw.Canvas, p *plot.Plot, x, y float64) (vg.Point, edge) {
	nx, ny := norm(p.X, x), norm(p.Y, y)
	cx, cy := math.Min(math.Max(nx, 0), 1), math.Min(math.Max(ny, 0), 1)
	return vg.Point{X: c.X(cx), Y: c.Y(cy)}, edge{sign(nx - cx), sign(ny - cy)}
}

// edge says beyond which edges a mark lies: -1, 0 or 1 each way.
type edge struct{ x, y int }

func sign(v float64) int {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

func norm(a plot.Axis, v float64) float64 {
	if _, log := a.Scale.(plot.LogScale); log && !(v > 0) {
		return -1
	}
	return a.Norm(v)
}
