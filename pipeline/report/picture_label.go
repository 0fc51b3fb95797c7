package report

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

const ringSize = 5.0

// box is a rectangle that something is in.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) meets(o box) bool { return b.x0 < o.x1 && o.x0 < b.x1 && b.y0 < o.y1 && o.y0 < b.y1 }

func around4(p point, r float64) box { return box{p.x - r, p.y - r, p.x + r, p.y + r} }

// drawFlags draws each entry's marks with a ring, or with an arrow where they
// lie beyond the edge, and sets the entry's number beside the first.
func (s *scene) drawFlags(a area, at, covered []point, beyond []edge, links []svgLink) {
	var taken []box
	for _, l := range links {
		for _, i := range l.marks {
			taken = append(taken, around4(at[i], ringSize-1))
		}
	}
	for j, l := range links {
		a.into(j)
		var rings []point
		for _, i := range l.marks {
			if beyond[i] != (edge{}) {
				arrow(a.canvas, at[i], beyond[i])
			} else {
				s.marks[i].style.shape.paint(a.canvas, inkFlag, at[i:i+1], markSize)
			}
			rings = append(rings, at[i])
		}
		ring.paint(a.canvas, inkFlag, rings, ringSize)
		if j >= maxLabels {
			continue
		}
		first := l.marks[0]
		words := []span{{text: strconv.Itoa(l.no), bold: true}}
		if text := s.marks[first].far(beyond[first]); text != "" && len(links) <= maxValues {
			words = append(words, span{text: " " + text})
		}
		for ; len(words) > 0; words = words[:len(words)-1] { // the number alone where there is no more space
			if spot, ok := a.free(covered, taken, at[first], width(words, smallType)); ok {
				a.lead(inkFlag, at[first], spot)
				write(a.canvas, inkFlag, smallType, spot.x0+1, spot.y0+2, words...)
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
func (m *mark) far(e edge) string {
	var parts []string
	if e.x != 0 && m.drawn.atX != "" {
		parts = append(parts, m.drawn.atX)
	}
	if e.y != 0 && m.drawn.atY != "" {
		parts = append(parts, m.drawn.atY)
	}
	return strings.Join(parts, ", ")
}

// arrow points out of the picture.
func arrow(c *canvas, p point, e edge) {
	dx, dy := float64(e.x), float64(e.y)
	path := c.path()
	tip := point{p.x + 3.4*dx, p.y + 3.4*dy}
	path.through(tip, point{p.x - 3*dx - 2.6*dy, p.y - 3*dy + 2.6*dx}, point{p.x - 3*dx + 2.6*dy, p.y - 3*dy - 2.6*dx})
	path.close()
	c.fill(path, inkFlag)
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

// lead draws a line from a mark to its label where that stands away from it.
func (a area) lead(i ink, from point, to box) {
	end := point{min(max(from.x, to.x0+1), to.x1-1), min(max(from.y, to.y0+2), to.y1-2)}
	dx, dy := end.x-from.x, end.y-from.y
	if far := math.Hypot(dx, dy); far > leadFrom {
		a.canvas.line(stroke{ink: i, width: 0.6}, from.x+dx/far*ringSize, from.y+dy/far*ringSize, end.x, end.y)
	}
}

// leadFrom is the distance from which a label needs a line to its mark.
const leadFrom = 18

// free finds a place for a label beside a mark: within the picture, and on no
// mark or other label.
func (a area) free(marks []point, taken []box, at point, w float64) (box, bool) {
	const high = 11
	for _, try := range places {
		x, y := at.x+try.dx*8, at.y+try.dy*9
		switch {
		case try.dx < 0:
			x -= w
		case try.dx == 0:
			x -= w / 2
		}
		b := box{x - 1, y - high/2, x + w + 1, y + high/2}
		if b.x0 < a.min.x-12 || b.x1 > a.max.x+12 || b.y0 < a.min.y-2 || b.y1 > a.max.y+8 {
			continue
		}
		if !slices.ContainsFunc(taken, b.meets) && !slices.ContainsFunc(marks, func(m point) bool { return b.meets(around4(m, markSize)) }) {
			return b, true
		}
	}
	return box{}, false
}
