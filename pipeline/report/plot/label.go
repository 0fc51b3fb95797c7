package plot

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

const ringSize = 5.0

// Box is a rectangle that something is in.
type Box struct{ X0, Y0, X1, Y1 float64 }

func (b Box) meets(o Box) bool { return b.X0 < o.X1 && o.X0 < b.X1 && b.Y0 < o.Y1 && o.Y0 < b.Y1 }

// Around is the square that is r from a point on each side.
func Around(p Point, r float64) Box { return Box{p.X - r, p.Y - r, p.X + r, p.Y + r} }

// drawFlags draws each entry's marks with a ring, or with an arrow where they
// lie beyond the edge, and sets the entry's number beside the first.
func (s *Scene) drawFlags(a Area, at, covered []Point, beyond []edge, links []svgLink) {
	var taken []Box
	for _, l := range links {
		for _, i := range l.marks {
			taken = append(taken, Around(at[i], ringSize-1))
		}
	}
	for j, l := range links {
		a.into(j)
		var rings []Point
		for _, i := range l.marks {
			if beyond[i] != (edge{}) {
				arrow(a.Canvas, at[i], beyond[i])
			} else {
				s.Marks[i].Style.Shape.Paint(a.Canvas, inkFlag, at[i:i+1], MarkSize)
			}
			rings = append(rings, at[i])
		}
		Ring.Paint(a.Canvas, inkFlag, rings, ringSize)
		if j >= maxLabels {
			continue
		}
		first := l.marks[0]
		words := []Span{{Text: strconv.Itoa(l.no), Bold: true}}
		if text := s.Marks[first].far(beyond[first]); text != "" && len(links) <= maxValues {
			words = append(words, Span{Text: " " + text})
		}
		for ; len(words) > 0; words = words[:len(words)-1] { // the number alone where there is no more space
			if spot, ok := a.Free(covered, taken, at[first], Width(words, SmallType)); ok {
				a.Lead(inkFlag, at[first], spot)
				Write(a.Canvas, inkFlag, SmallType, spot.X0+1, spot.Y0+2, words...)
				taken = append(taken, spot)
				break
			}
		}
	}
	a.into(-1)
}

// maxValues bounds the marks beyond the edge that are labelled with their
// value; where there are more, the numbers of the entries must do.
const maxValues = 14

// far is what a mark beyond an edge is labelled with.
func (m *Mark) far(e edge) string {
	var parts []string
	if e.x != 0 && m.drawn.AtX != "" {
		parts = append(parts, m.drawn.AtX)
	}
	if e.y != 0 && m.drawn.AtY != "" {
		parts = append(parts, m.drawn.AtY)
	}
	return strings.Join(parts, ", ")
}

// arrow points out of the picture.
func arrow(c *Canvas, p Point, e edge) {
	dx, dy := float64(e.x), float64(e.y)
	path := c.Path()
	tip := Point{p.X + 3.4*dx, p.Y + 3.4*dy}
	path.Through(tip, Point{p.X - 3*dx - 2.6*dy, p.Y - 3*dy + 2.6*dx}, Point{p.X - 3*dx + 2.6*dy, p.Y - 3*dy - 2.6*dx})
	path.Close()
	c.Fill(path, inkFlag)
}

// places to try for a label: right, left, above, below, the corners, and the
// same farther out.
var places = []struct{ dx, dy float64 }{
	{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, 1}, {1, -1}, {-1, -1},
	{1.9, 0.6}, {-1.9, 0.6}, {1.9, -0.6}, {-1.9, -0.6}, {0, 2}, {0, -2},
	{1, 1.6}, {-1, 1.6}, {1, -1.6}, {-1, -1.6}, {0.6, 2.2}, {-0.6, 2.2}, {0.6, -2.2}, {-0.6, -2.2},
	{3, 0}, {-3, 0}, {3, 2}, {-3, 2}, {3, -2}, {-3, -2}, {0, 3.4}, {0, -3.4}, {2, 3.4}, {-2, 3.4}, {2, -3.4}, {-2, -3.4},
	{5, 0}, {-5, 0}, {5, 3}, {-5, 3}, {5, -3}, {-5, -3}, {0, 5.4}, {0, -5.4}, {3, 5.4}, {-3, 5.4}, {3, -5.4}, {-3, -5.4},
	{8, 0}, {-8, 0}, {8, 5}, {-8, 5}, {8, -5}, {-8, -5}, {0, 8.4}, {0, -8.4}, {5, 8.4}, {-5, 8.4}, {5, -8.4}, {-5, -8.4},
}

// Lead draws a line from a mark to its label where that stands away from it.
func (a Area) Lead(i Ink, from Point, to Box) {
	end := Point{min(max(from.X, to.X0+1), to.X1-1), min(max(from.Y, to.Y0+2), to.Y1-2)}
	dx, dy := end.X-from.X, end.Y-from.Y
	if far := math.Hypot(dx, dy); far > leadFrom {
		a.Canvas.Line(Stroke{Ink: i, Width: 0.6}, from.X+dx/far*ringSize, from.Y+dy/far*ringSize, end.X, end.Y)
	}
}

// leadFrom is the distance from which a label needs a line to its mark.
const leadFrom = 18

// Free finds a place for a label beside a mark: within the picture, and on no
// mark or other label.
func (a Area) Free(marks []Point, taken []Box, at Point, w float64) (Box, bool) {
	const high = 11
	for _, try := range places {
		x, y := at.X+try.dx*8, at.Y+try.dy*9
		switch {
		case try.dx < 0:
			x -= w
		case try.dx == 0:
			x -= w / 2
		}
		b := Box{x - 1, y - high/2, x + w + 1, y + high/2}
		if b.X0 < a.Min.X-12 || b.X1 > a.Max.X+12 || b.Y0 < a.Min.Y-2 || b.Y1 > a.Max.Y+8 {
			continue
		}
		if !slices.ContainsFunc(taken, b.meets) && !slices.ContainsFunc(marks, func(m Point) bool { return b.meets(Around(m, MarkSize)) }) {
			return b, true
		}
	}
	return Box{}, false
}
