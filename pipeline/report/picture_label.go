package report

import (
	"image/color"
	"strconv"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

const ringSize vg.Length = 5

// box is a rectangle that something stands in.
type box struct{ x0, y0, x1, y1 vg.Length }

func (b box) meets(o box) bool { return b.x0 < o.x1 && o.x0 < b.x1 && b.y0 < o.y1 && o.y0 < b.y1 }

func around4(p vg.Point, r vg.Length) box { return box{p.X - r, p.Y - r, p.X + r, p.Y + r} }

// drawFlags draws each entry's marks with a ring, or with an arrow where they
// lie beyond the edge, and sets the entry's number beside the first.
func (s *scene) drawFlags(c draw.Canvas, at, covered []vg.Point, beyond []edge, links []svgLink) {
	var taken []box
	for _, l := range links {
		for _, i := range l.marks {
			taken = append(taken, around4(at[i], ringSize-1))
		}
	}
	for j, l := range links {
		col := linkColor(j)
		var rings []vg.Point
		for _, i := range l.marks {
			if beyond[i] != (edge{}) {
				arrow(c, col, at[i], beyond[i])
			} else {
				s.marks[i].style.shape.paint(c, col, at[i:i+1], markSize)
			}
			rings = append(rings, at[i])
		}
		ring.paint(c, col, rings, ringSize)
		if j >= mostLabels {
			continue
		}
		first := l.marks[0]
		words := []span{{text: strconv.Itoa(l.no), bold: true}}
		if text := s.marks[first].far(beyond[first]); text != "" && len(links) <= mostValues {
			words = append(words, span{text: " " + text})
		}
		for ; len(words) > 0; words = words[:len(words)-1] { // the number alone where there is no more room
			if spot, ok := room(c, covered, taken, at[first], width(words, smallType)); ok {
				write(c, col, smallType, spot.x0+1, spot.y0+2, words...)
				taken = append(taken, spot)
				break
			}
		}
	}
}

// mostValues bounds the marks beyond the edge that are labelled with their
// value; where there are more, the numbers of the entries must do.
const mostValues = 14

// far is what a mark beyond an edge is labelled with.
func (m *mark) far(e edge) string {
	var parts []string
	if e.x != 0 && m.atX != "" {
		parts = append(parts, m.atX)
	}
	if e.y != 0 && m.atY != "" {
		parts = append(parts, m.atY)
	}
	return strings.Join(parts, ", ")
}

// arrow points out of the picture.
func arrow(c draw.Canvas, col color.Color, p vg.Point, e edge) {
	dx, dy := vg.Length(e.x), vg.Length(e.y)
	var path vg.Path
	tip := vg.Point{X: p.X + 3.4*dx, Y: p.Y + 3.4*dy}
	path.Move(tip)
	path.Line(vg.Point{X: p.X - 3*dx - 2.6*dy, Y: p.Y - 3*dy + 2.6*dx})
	path.Line(vg.Point{X: p.X - 3*dx + 2.6*dy, Y: p.Y - 3*dy - 2.6*dx})
	path.Close()
	c.SetColor(col)
	c.Fill(path)
}

// places to try for a label: right, left, above, below, the corners, and the
// same farther out.
var places = []struct{ dx, dy vg.Length }{
	{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, 1}, {1, -1}, {-1, -1},
	{1.9, 0.6}, {-1.9, 0.6}, {1.9, -0.6}, {-1.9, -0.6}, {0, 2}, {0, -2},
	{1, 1.6}, {-1, 1.6}, {1, -1.6}, {-1, -1.6}, {0.6, 2.2}, {-0.6, 2.2}, {0.6, -2.2}, {-0.6, -2.2},
}

// room finds a place for a label beside a mark: within the picture, on no
// other label or flagged mark, and on as few plain marks as can be.
func room(c draw.Canvas, marks []vg.Point, taken []box, at vg.Point, w vg.Length) (box, bool) {
	const high = 11
	best, found, least := box{}, false, 0
	for _, try := range places {
		x, y := at.X+try.dx*8, at.Y+try.dy*9
		switch {
		case try.dx < 0:
			x -= w
		case try.dx == 0:
			x -= w / 2
		}
		b := box{x - 1, y - high/2, x + w + 1, y + high/2}
		if b.x0 < c.Min.X-12 || b.x1 > c.Max.X+12 || b.y0 < c.Min.Y-2 || b.y1 > c.Max.Y+8 {
			continue
		}
		free := true
		for _, t := range taken {
			free = free && !b.meets(t)
		}
		if !free {
			continue
		}
		covered := 0
		for _, m := range marks {
			if b.meets(around4(m, markSize)) {
				covered++
			}
		}
		if !found || covered < least {
			best, found, least = b, true, covered
		}
		if covered == 0 {
			break
		}
	}
	return best, found
}
