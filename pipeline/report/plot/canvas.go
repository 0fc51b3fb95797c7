package plot

import (
	"fmt"
	"html"
	"html/template"
	"strconv"
	"strings"
)

// Point is a place in a picture, in units of the picture from its lower left
// corner; y grows upwards.
type Point struct{ X, Y float64 }

// Canvas gathers the elements of a drawing as SVG. They have classes in place
// of colours, which the style sheet of the page gives them in light and dark.
type Canvas struct {
	height float64
	plain  strings.Builder
	links  []strings.Builder // what belongs to a link, by its index
	link   int               // where elements go: a link's index, or -1
}

func newCanvas(height float64, links int) *Canvas {
	return &Canvas{height: height, links: make([]strings.Builder, links), link: -1}
}

// into lets what is drawn next belong to a link; -1 ends that.
func (c *Canvas) into(link int) { c.link = link }

func (c *Canvas) to() *strings.Builder {
	if c.link >= 0 {
		return &c.links[c.link]
	}
	return &c.plain
}

// Stroke is how a line is drawn.
type Stroke struct {
	Ink    Ink
	Width  float64
	Dashes string // lengths of strokes and gaps; whole where it is empty
}

// Outline is what a pen follows.
type Outline struct {
	height float64
	d      []byte
}

// Path begins an outline.
func (c *Canvas) Path() *Outline { return &Outline{height: c.height} }

func (p *Outline) move(at Point) { p.to('M', at) }
func (p *Outline) line(at Point) { p.to('L', at) }

// Close goes back to where the outline began.
func (p *Outline) Close() { p.d = append(p.d, 'Z') }

// Through follows straight lines from the first point to the last.
func (p *Outline) Through(first Point, others ...Point) {
	p.move(first)
	for _, at := range others {
		p.line(at)
	}
}

func (p *Outline) to(command byte, at Point) {
	p.d = append(append(append(append(p.d, command), short(at.X)...), ','), short(p.height-at.Y)...)
}

// dot is a line of no length: a disc where lines have round ends.
func (p *Outline) dot(at Point) {
	p.move(at)
	p.d = append(p.d, "h0"...)
}

// circle is drawn from its rightmost point in two halves.
func (p *Outline) circle(at Point, r float64) {
	p.move(Point{at.X + r, at.Y})
	p.d = fmt.Appendf(p.d, "a%[1]s,%[1]s 0 1 0 %[2]s,0a%[1]s,%[1]s 0 1 0 %[3]s,0Z", short(r), short(-2*r), short(2*r))
}

// stroke draws the outline.
func (c *Canvas) stroke(p *Outline, s Stroke) {
	class := "k" + strconv.Itoa(int(s.Ink))
	if c.link >= 0 {
		class += " hit"
	}
	b := c.to()
	fmt.Fprintf(b, `<path class="%s"`, class)
	if s.Width != 1 {
		fmt.Fprintf(b, ` stroke-width="%s"`, strconv.FormatFloat(s.Width, 'g', 4, 64))
	}
	if s.Dashes != "" {
		fmt.Fprintf(b, ` stroke-dasharray="%s"`, s.Dashes)
	}
	fmt.Fprintf(b, ` d="%s"/>`, p.d)
}

// Fill draws what is within the outline.
func (c *Canvas) Fill(p *Outline, i Ink) {
	fmt.Fprintf(c.to(), `<path class="f%d" d="%s"/>`, i, p.d)
}

// Lines draws a line through points.
func (c *Canvas) Lines(s Stroke, first Point, others ...Point) {
	p := c.Path()
	p.Through(first, others...)
	c.stroke(p, s)
}

// Line draws a straight line.
func (c *Canvas) Line(s Stroke, x0, y0, x1, y1 float64) { c.Lines(s, Point{x0, y0}, Point{x1, y1}) }

// text sets a run of text from the left, on a baseline. It is as wide in every
// font as letter_widths.csv says; browsers drop blanks at its end.
func (c *Canvas) text(i Ink, size float64, at Point, s Span) {
	class := "f" + strconv.Itoa(int(i))
	for _, k := range []struct {
		on   bool
		name string
	}{{size == largeType, " large"}, {s.Italic, " it"}, {s.Bold, " b"}} {
		if k.on {
			class += k.name
		}
	}
	s.Text = strings.TrimRight(s.Text, " ")
	fmt.Fprintf(c.to(), `<text class="%s" x="%s" y="%s" textLength="%s" lengthAdjust="spacingAndGlyphs">%s</text>`, class, short(at.X), short(c.height-at.Y), short(s.Width(size)), html.EscapeString(s.Text))
}

// svg makes the drawing part of a page, with a title and a description, and
// with the marks of each entry as a link to it. Everything but the links is
// hidden from screen readers, which have the description, the caption and the
// data.
func (c *Canvas) svg(s *Scene, links []svgLink) template.HTML {
	role := "img"
	if len(links) > 0 {
		role = "group"
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" role="%s" aria-labelledby="%[4]s-t %[4]s-d">`,
		short(pictureWidth), short(c.height), role, s.ID)
	fmt.Fprintf(&b, `<title id="%s-t">%s</title><desc id="%[1]s-d">%[3]s</desc>`, s.ID, html.EscapeString(s.Title), html.EscapeString(s.Desc))
	fmt.Fprintf(&b, `<g aria-hidden="true">%s</g>`, c.plain.String())
	for i, l := range links {
		name := html.EscapeString(fmt.Sprintf("Entry %d: %s", l.no, l.name))
		fmt.Fprintf(&b, `<a id="%s" href="#finding-%d"><title>%s</title>%s</a>`, l.anchor, l.no, name, c.links[i].String())
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String())
}

// short writes a length in units of the picture, to a tenth.
func short(v float64) string {
	s := strings.TrimSuffix(strconv.FormatFloat(v, 'f', 1, 64), ".0")
	if s == "-0" {
		return "0"
	}
	return s
}
