package report

import (
	"fmt"
	"html"
	"html/template"
	"strconv"
	"strings"
)

// point is a place in a picture, in units of the picture from its lower left
// corner; y grows upwards.
type point struct{ x, y float64 }

// canvas gathers the elements of a drawing as SVG. They have classes in place
// of colours, which the style sheet of the page gives them in light and dark.
type canvas struct {
	height float64
	plain  strings.Builder
	links  []strings.Builder // what belongs to a link, by its index
	link   int               // where elements go: a link's index, or -1
}

func newCanvas(height float64, links int) *canvas {
	return &canvas{height: height, links: make([]strings.Builder, links), link: -1}
}

// into lets what is drawn next belong to a link; -1 ends that.
func (c *canvas) into(link int) { c.link = link }

func (c *canvas) to() *strings.Builder {
	if c.link >= 0 {
		return &c.links[c.link]
	}
	return &c.plain
}

// stroke is how a line is drawn.
type stroke struct {
	ink    ink
	width  float64
	dashes string // lengths of strokes and gaps; whole where it is empty
}

// outline is what a pen follows.
type outline struct {
	height float64
	d      []byte
}

func (c *canvas) path() *outline { return &outline{height: c.height} }

func (p *outline) move(at point) { p.to('M', at) }
func (p *outline) line(at point) { p.to('L', at) }
func (p *outline) close()        { p.d = append(p.d, 'Z') }

// through follows straight lines from the first point to the last.
func (p *outline) through(first point, others ...point) {
	p.move(first)
	for _, at := range others {
		p.line(at)
	}
}

func (p *outline) to(command byte, at point) {
	p.d = append(append(append(append(p.d, command), short(at.x)...), ','), short(p.height-at.y)...)
}

// dot is a line of no length: a disc where lines have round ends.
func (p *outline) dot(at point) {
	p.move(at)
	p.d = append(p.d, "h0"...)
}

// circle is drawn from its rightmost point in two halves.
func (p *outline) circle(at point, r float64) {
	p.move(point{at.x + r, at.y})
	p.d = fmt.Appendf(p.d, "a%[1]s,%[1]s 0 1 0 %[2]s,0a%[1]s,%[1]s 0 1 0 %[3]s,0Z", short(r), short(-2*r), short(2*r))
}

// stroke draws the outline.
func (c *canvas) stroke(p *outline, s stroke) {
	class := "k" + strconv.Itoa(int(s.ink))
	if c.link >= 0 {
		class += " hit"
	}
	b := c.to()
	fmt.Fprintf(b, `<path class="%s"`, class)
	if s.width != 1 {
		fmt.Fprintf(b, ` stroke-width="%s"`, strconv.FormatFloat(s.width, 'g', 4, 64))
	}
	if s.dashes != "" {
		fmt.Fprintf(b, ` stroke-dasharray="%s"`, s.dashes)
	}
	fmt.Fprintf(b, ` d="%s"/>`, p.d)
}

// fill draws what is within the outline.
func (c *canvas) fill(p *outline, i ink) {
	fmt.Fprintf(c.to(), `<path class="f%d" d="%s"/>`, i, p.d)
}

// lines draws a line through points.
func (c *canvas) lines(s stroke, first point, others ...point) {
	p := c.path()
	p.through(first, others...)
	c.stroke(p, s)
}

func (c *canvas) line(s stroke, x0, y0, x1, y1 float64) { c.lines(s, point{x0, y0}, point{x1, y1}) }

// text sets a run of text from the left, on a baseline. It is as wide in every
// font as letter_widths.csv says; browsers drop blanks at its end.
func (c *canvas) text(i ink, size float64, at point, s span) {
	class := "f" + strconv.Itoa(int(i))
	for _, k := range []struct {
		on   bool
		name string
	}{{size == largeType, " large"}, {s.italic, " it"}, {s.bold, " b"}} {
		if k.on {
			class += k.name
		}
	}
	s.text = strings.TrimRight(s.text, " ")
	fmt.Fprintf(c.to(), `<text class="%s" x="%s" y="%s" textLength="%s" lengthAdjust="spacingAndGlyphs">%s</text>`, class, short(at.x), short(c.height-at.y), short(s.width(size)), html.EscapeString(s.text))
}

// svg makes the drawing part of a page, with a title and a description, and
// with the marks of each entry as a link to it. Everything but the links is
// hidden from screen readers, which have the description, the caption and the
// data.
func (c *canvas) svg(s *scene, links []svgLink) template.HTML {
	role := "img"
	if len(links) > 0 {
		role = "group"
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" role="%s" aria-labelledby="%[4]s-t %[4]s-d">`,
		short(pictureWidth), short(c.height), role, s.id)
	fmt.Fprintf(&b, `<title id="%s-t">%s</title><desc id="%[1]s-d">%[3]s</desc>`, s.id, html.EscapeString(s.title), html.EscapeString(s.desc))
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
