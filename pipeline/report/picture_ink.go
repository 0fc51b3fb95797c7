package report

import (
	"image/color"
	"strings"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// ink is a role of colour. Pictures are drawn in sentinel colours, which stand
// for a role or for the link that an element belongs to; the style sheet gives
// each role its colour in light and dark.
type ink uint8

const (
	inkText ink = iota + 1
	inkQuiet
	inkLine
	inkFlag
	inkOne // the first of the series, told apart by shape too
	inkTwo
	inkThree
	inkFour
	inkFive
	inkSix
)

// The backend may round a channel down by one, so that a sentinel keeps four
// steps of a channel for each of its values.
const (
	roleMark  = 2
	linkMark  = 12
	stepping  = 4
	centre    = 2
	mostLinks = 64 * 64
)

func (i ink) color() color.Color {
	return color.RGBA{R: roleMark*stepping + centre, B: uint8(i)*stepping + centre, A: 255}
}

// linkColor stands for the link of that index.
func linkColor(index int) color.Color {
	return color.RGBA{R: linkMark*stepping + centre, G: uint8(index/64)*stepping + centre, B: uint8(index%64)*stepping + centre, A: 255}
}

// role reads a sentinel colour. link is -1 where the colour is a role.
func role(c color.RGBA) (i ink, link int) {
	if c.R/stepping == linkMark {
		return inkFlag, int(c.G/stepping)*64 + int(c.B/stepping)
	}
	if c.R/stepping == roleMark {
		return ink(c.B / stepping), -1
	}
	return inkText, -1
}

// The two sizes of letters in pictures, in units of the picture.
const (
	smallType vg.Length = 10.5
	largeType vg.Length = 11.5
)

// face is the type of pictures. Its widths are those of Arial and Helvetica,
// which a reader's machine is likely to have.
func face(size vg.Length, italic, bold bool) font.Font {
	f := font.Font{Typeface: "Liberation", Variant: "Sans", Size: size}
	if italic {
		f.Style = xfont.StyleItalic
	}
	if bold {
		f.Weight = xfont.WeightBold
	}
	return f
}

func typeStyle(size vg.Length, i ink, x text.XAlignment, y text.YAlignment) text.Style {
	return text.Style{Color: i.color(), Font: face(size, false, false), XAlign: x, YAlign: y, Handler: plot.DefaultTextHandler}
}

// span is a run of text in one style.
type span struct {
	text         string
	italic, bold bool
}

func (s span) width(size vg.Length) vg.Length {
	f := face(size, s.italic, s.bold)
	set := plot.DefaultTextHandler.Cache().Lookup(f, size)
	return set.Width(s.text)
}

func width(spans []span, size vg.Length) vg.Length {
	var w vg.Length
	for _, s := range spans {
		w += s.width(size)
	}
	return w
}

// write sets runs of text from the left, on a baseline.
func write(c draw.Canvas, col color.Color, size, x, y vg.Length, spans ...span) {
	for _, s := range spans {
		f := face(size, s.italic, s.bold)
		words := strings.TrimLeft(s.text, " ") // browsers drop blanks at the start
		start := x + s.width(size) - span{words, s.italic, s.bold}.width(size)
		c.SetColor(col)
		c.FillString(plot.DefaultTextHandler.Cache().Lookup(f, size), vg.Point{X: start, Y: y}, words)
		x += s.width(size)
	}
}
