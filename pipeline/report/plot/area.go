package plot

import "math"

// Area is the part of a canvas within the axes.
type Area struct {
	*Canvas
	Min, Max Point
	X, Y     Axis
}

// Share places a value on an axis: 0 at its low end, 1 at its high end. A value
// that a logarithmic axis can't show lies below the low end.
func (a Axis) Share(v float64) float64 {
	if !a.Log {
		return (v - a.Lo) / (a.Hi - a.Lo)
	}
	if !(v > 0) {
		return -1
	}
	return math.Log(v/a.Lo) / math.Log(a.Hi/a.Lo)
}

// AtX is where a value of the x axis lies in the picture.
func (a Area) AtX(v float64) float64 { return a.Min.X + a.X.Share(v)*(a.Max.X-a.Min.X) }

// AtY is where a value of the y axis lies in the picture.
func (a Area) AtY(v float64) float64 { return a.Min.Y + a.Y.Share(v)*(a.Max.Y-a.Min.Y) }

// Clipped returns the part of a straight line that lies within the area (the
// parametric method of Liang and Barsky 1984); ok is false where none does.
func (a Area) Clipped(from, to Point) (Point, Point, bool) {
	dx, dy := to.X-from.X, to.Y-from.Y
	enter, leave := 0.0, 1.0
	for _, side := range []struct{ step, space float64 }{
		{-dx, from.X - a.Min.X}, {dx, a.Max.X - from.X}, {-dy, from.Y - a.Min.Y}, {dy, a.Max.Y - from.Y},
	} {
		switch {
		case side.step < 0:
			enter = math.Max(enter, side.space/side.step)
		case side.step > 0:
			leave = math.Min(leave, side.space/side.step)
		case side.space < 0:
			return Point{}, Point{}, false
		}
	}
	if enter > leave {
		return Point{}, Point{}, false
	}
	return Point{from.X + enter*dx, from.Y + enter*dy}, Point{from.X + leave*dx, from.Y + leave*dy}, true
}

// Lengths of what is beside an axis, in units of the picture.
const (
	axisGap    = 3.0  // between the area and the line of the axis
	tickLength = 4.0  // from that line outwards
	tickGap    = 2.5  // between a tick and its label
	capHeight  = 7.5  // of small letters that stand upright
	TopLine    = 15.0 // from one line of text to the next
)

// besideY is the space that the y axis takes.
func (s *Scene) besideY() float64 {
	if s.Y.Hidden || len(s.Rows) > 0 {
		return 0
	}
	widest := 0.0
	for _, t := range s.Y.Ticks(s.Y.Lo, s.Y.Hi) {
		widest = math.Max(widest, Span{Text: t.Label}.Width(SmallType))
	}
	return axisGap + tickLength + tickGap + widest
}

// belowX is the space that the x axis takes.
func (s *Scene) belowX() float64 {
	if s.X.Hidden {
		return 0
	}
	return axisGap + tickLength + tickGap + capHeight + TopLine + 4
}

// axes draws both axes with their ticks and the label of the x axis; that of
// the y axis is above the picture.
func (s *Scene) axes(a Area) {
	line := Stroke{Ink: InkLine, Width: 0.8}
	if !s.X.Hidden {
		y := a.Min.Y - axisGap
		a.Line(line, a.Min.X, y, a.Max.X, y)
		for _, t := range s.X.Ticks(s.X.Lo, s.X.Hi) {
			x, words := a.AtX(t.Value), Span{Text: t.Label}
			if x < a.Min.X-0.01 || x > a.Max.X+0.01 {
				continue
			}
			a.Line(line, x, y, x, y-tickLength)
			Write(a.Canvas, InkQuiet, SmallType, x-words.Width(SmallType)/2, y-tickLength-tickGap-capHeight, words)
		}
		words := Span{Text: s.X.Label}
		Write(a.Canvas, InkText, largeType, (a.Min.X+a.Max.X-words.Width(largeType))/2, 4, words)
	}
	if s.Y.Hidden || len(s.Rows) > 0 {
		return
	}
	x := a.Min.X - axisGap
	a.Line(line, x, a.Min.Y, x, a.Max.Y)
	for _, t := range s.Y.Ticks(s.Y.Lo, s.Y.Hi) {
		y, words := a.AtY(t.Value), Span{Text: t.Label}
		if y < a.Min.Y-0.01 || y > a.Max.Y+0.01 {
			continue
		}
		a.Line(line, x, y, x-tickLength, y)
		Write(a.Canvas, InkQuiet, SmallType, x-tickLength-tickGap-words.Width(SmallType), y-capHeight/2, words)
	}
}

// Level draws a line across at a value, with a word at its end.
func Level(v float64, st Stroke, word string) Layer {
	return func(a Area) {
		if v < a.Y.Lo || v > a.Y.Hi {
			return
		}
		y := a.AtY(v)
		a.Line(st, a.Min.X, y, a.Max.X, y)
		if word != "" {
			spans := Span{Text: word}
			Write(a.Canvas, InkQuiet, SmallType, a.Max.X-spans.Width(SmallType), y+3, spans)
		}
	}
}
