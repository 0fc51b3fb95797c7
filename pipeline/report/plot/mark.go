package plot

import (
	"cmp"
	"math"

	"spadefoot/pipeline/record/sorting"
)

// drawMarks draws the marks in order: plain ones, one path for each style, and
// then the flagged ones with their labels.
func (s *Scene) drawMarks(a Area, links []svgLink) {
	at := make([]Point, len(s.Marks))
	beyond := make([]edge, len(s.Marks))
	for i, m := range s.Marks {
		at[i], beyond[i] = a.Place(m.X, m.Y)
	}
	var styles []Style
	plain := map[Style][]Point{}
	var lost []Point
	for i, m := range s.Marks {
		if m.No == Unshown {
			lost = append(lost, at[i])
		}
		if m.No > 0 || beyond[i] != (edge{}) {
			continue
		}
		if plain[m.Style] == nil {
			styles = append(styles, m.Style)
		}
		plain[m.Style] = append(plain[m.Style], at[i])
	}
	sorting.Func(styles, func(a, b Style) int { return int(a.Shape)*100 + int(a.Ink) - int(b.Shape)*100 - int(b.Ink) })
	for _, st := range styles {
		st.Shape.Paint(a.Canvas, st.Ink, plain[st], MarkSize)
	}
	Ring.Paint(a.Canvas, inkFlag, lost, ringSize)
	covered := at
	for _, m := range s.Cover {
		v, _ := a.Place(m.X, m.Y)
		covered = append(covered[:len(covered):len(covered)], v)
	}
	s.drawFlags(a, at, covered, beyond, links)
}

// Place puts a value on the canvas, at the edge if it lies beyond. A value
// that a logarithmic axis can't show lies beyond its low end.
func (a Area) Place(x, y float64) (Point, edge) {
	nx, ny := a.X.Share(x), a.Y.Share(y)
	cx, cy := math.Min(math.Max(nx, 0), 1), math.Min(math.Max(ny, 0), 1)
	return Point{a.Min.X + cx*(a.Max.X-a.Min.X), a.Min.Y + cy*(a.Max.Y-a.Min.Y)}, edge{cmp.Compare(nx, cx), cmp.Compare(ny, cy)}
}

// edge says beyond which edges a mark lies: -1, 0 or 1 each way.
type edge struct{ x, y int }
