package report

import "math"

// area is the part of a canvas within the axes.
type area struct {
	*canvas
	min, max point
	x, y     axis
}

// share places a value on an axis: 0 at its low end, 1 at its high end. A value
// that a logarithmic axis can't show lies below the low end.
func (a axis) share(v float64) float64 {
	if !a.log {
		return (v - a.lo) / (a.hi - a.lo)
	}
	if !(v > 0) {
		return -1
	}
	return math.Log(v/a.lo) / math.Log(a.hi/a.lo)
}

func (a area) atX(v float64) float64 { return a.min.x + a.x.share(v)*(a.max.x-a.min.x) }
func (a area) atY(v float64) float64 { return a.min.y + a.y.share(v)*(a.max.y-a.min.y) }

// clipped returns the part of a straight line that lies within the area (the
// parametric method of Liang and Barsky 1984); ok is false where none does.
func (a area) clipped(from, to point) (point, point, bool) {
	dx, dy := to.x-from.x, to.y-from.y
	enter, leave := 0.0, 1.0
	for _, side := range []struct{ step, space float64 }{
		{-dx, from.x - a.min.x}, {dx, a.max.x - from.x}, {-dy, from.y - a.min.y}, {dy, a.max.y - from.y},
	} {
		switch {
		case side.step < 0:
			enter = math.Max(enter, side.space/side.step)
		case side.step > 0:
			leave = math.Min(leave, side.space/side.step)
		case side.space < 0:
			return point{}, point{}, false
		}
	}
	if enter > leave {
		return point{}, point{}, false
	}
	return point{from.x + enter*dx, from.y + enter*dy}, point{from.x + leave*dx, from.y + leave*dy}, true
}

// Lengths of what is beside an axis, in units of the picture.
const (
	axisGap    = 3.0  // between the area and the line of the axis
	tickLength = 4.0  // from that line outwards
	tickGap    = 2.5  // between a tick and its label
	capHeight  = 7.5  // of small letters that stand upright
	topLine    = 15.0 // from one line of text to the next
)

// besideY is the space that the y axis takes.
func (s *scene) besideY() float64 {
	if s.y.hidden || len(s.rows) > 0 {
		return 0
	}
	widest := 0.0
	for _, t := range s.y.ticks(s.y.lo, s.y.hi) {
		widest = math.Max(widest, span{text: t.label}.width(smallType))
	}
	return axisGap + tickLength + tickGap + widest
}

// belowX is the space that the x axis takes.
func (s *scene) belowX() float64 {
	if s.x.hidden {
		return 0
	}
	return axisGap + tickLength + tickGap + capHeight + topLine + 4
}

// axes draws both axes with their ticks and the label of the x axis; that of
// the y axis is above the picture.
func (s *scene) axes(a area) {
	line := stroke{ink: inkLine, width: 0.8}
	if !s.x.hidden {
		y := a.min.y - axisGap
		a.line(line, a.min.x, y, a.max.x, y)
		for _, t := range s.x.ticks(s.x.lo, s.x.hi) {
			x, words := a.atX(t.value), span{text: t.label}
			if x < a.min.x-0.01 || x > a.max.x+0.01 {
				continue
			}
			a.line(line, x, y, x, y-tickLength)
			write(a.canvas, inkQuiet, smallType, x-words.width(smallType)/2, y-tickLength-tickGap-capHeight, words)
		}
		words := span{text: s.x.label}
		write(a.canvas, inkText, largeType, (a.min.x+a.max.x-words.width(largeType))/2, 4, words)
	}
	if s.y.hidden || len(s.rows) > 0 {
		return
	}
	x := a.min.x - axisGap
	a.line(line, x, a.min.y, x, a.max.y)
	for _, t := range s.y.ticks(s.y.lo, s.y.hi) {
		y, words := a.atY(t.value), span{text: t.label}
		if y < a.min.y-0.01 || y > a.max.y+0.01 {
			continue
		}
		a.line(line, x, y, x-tickLength, y)
		write(a.canvas, inkQuiet, smallType, x-tickLength-tickGap-words.width(smallType), y-capHeight/2, words)
	}
}
