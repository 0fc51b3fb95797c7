package report

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// shape is the form of a mark. Forms tell apart what colours tell apart too.
type shape uint8

const (
	disc shape = iota
	triangle
	cross
	square
	diamond
	plus
	ring
	bar
)

const markSize vg.Length = 2.6

// paint draws one form at many points as a single path.
func (s shape) paint(c draw.Canvas, col color.Color, at []vg.Point, r vg.Length) {
	if len(at) == 0 {
		return
	}
	var path vg.Path
	for _, p := range at {
		s.outline(&path, p, r)
	}
	c.SetColor(col)
	c.SetLineDash(nil, 0)
	switch s {
	case disc: // a stroke of no length with round ends
		c.SetLineWidth(1.7 * r)
		c.Stroke(path)
	case square:
		c.Fill(path)
	default:
		c.SetLineWidth(1.1)
		c.Stroke(path)
	}
}

func (s shape) outline(path *vg.Path, p vg.Point, r vg.Length) {
	to := func(pen func(vg.Point), dx, dy vg.Length) { pen(vg.Point{X: p.X + dx*r, Y: p.Y + dy*r}) }
	switch s {
	case disc:
		to(path.Move, 0, 0)
		to(path.Line, 0, 0)
	case triangle:
		to(path.Move, 0, 1.1)
		to(path.Line, -1, -0.8)
		to(path.Line, 1, -0.8)
		path.Close()
	case cross:
		to(path.Move, -0.8, -0.8)
		to(path.Line, 0.8, 0.8)
		to(path.Move, -0.8, 0.8)
		to(path.Line, 0.8, -0.8)
	case square:
		to(path.Move, -0.75, -0.75)
		to(path.Line, 0.75, -0.75)
		to(path.Line, 0.75, 0.75)
		to(path.Line, -0.75, 0.75)
		path.Close()
	case diamond:
		to(path.Move, 0, 1.15)
		to(path.Line, -1.15, 0)
		to(path.Line, 0, -1.15)
		to(path.Line, 1.15, 0)
		path.Close()
	case plus:
		to(path.Move, -1.1, 0)
		to(path.Line, 1.1, 0)
		to(path.Move, 0, -1.1)
		to(path.Line, 0, 1.1)
	case ring:
		to(path.Move, 1, 0)
		path.Arc(p, r, 0, 2*math.Pi)
		path.Close()
	case bar:
		to(path.Move, 0, -1)
		to(path.Line, 0, 1)
	}
}

// style is a form with its colour.
type style struct {
	shape shape
	ink   ink
}

// sexStyle tells sexes apart.
func sexStyle(sex string) style {
	switch sex {
	case "female":
		return style{disc, inkOne}
	case "male":
		return style{triangle, inkTwo}
	}
	return style{cross, inkQuiet}
}

// sexName is the word of a sex for the key.
func sexName(sex string) string {
	switch sex {
	case "female", "male":
		return sex
	}
	return "other or not known"
}

// series are the styles of up to eight taxa.
var series = [mostTaxa]style{
	{disc, inkOne}, {triangle, inkTwo}, {diamond, inkThree}, {square, inkFour},
	{plus, inkFive}, {ring, inkSix}, {cross, inkOne}, {bar, inkTwo},
}
