package report

import (
	"fmt"
	"html/template"
	"slices"

	"spadefoot/pipeline/record/sorting"
)

// mark is one animal in a picture.
type mark struct {
	x, y  float64
	style style
	no    int         // entry that doubts it; 0 for none, or unshown
	note  func() note // asked for only if the mark is drawn; nil for none
	drawn note
}

// note is what is written of a mark.
type note struct {
	text string // "MC23-005, 618 mm, 45 g"
	atX  string // what a mark beyond the left or right edge is labelled with
	atY  string // and one beyond the upper or lower edge
	line []string
}

// axis is one side of a picture. Ticks nil chooses round numbers.
type axis struct {
	label  string
	lo, hi float64
	log    bool
	ticks  ticker
	hidden bool
}

// keyItem is one mark of the key.
type keyItem struct {
	style style
	text  string
}

// rowLabel names a row of a picture that has rows in place of a y axis.
type rowLabel struct {
	y     float64
	spans []span
}

// scene is a picture before it is drawn.
type scene struct {
	id, title string
	look      string // the caption's sentence
	desc      string // what the drawing holds, for those who can't see it
	height    float64
	x, y      axis
	key       []keyItem
	rows      []rowLabel
	under     []layer // drawn below the marks
	over      []layer // drawn above them
	marks     []mark
	heading   []string   // of the data
	data      [][]string // lines of the data; nil for those of the marks
	noThin    bool
	ofEntry   int    // marks of one entry at most, 0 for all of them
	total     int    // marks that there would be, where that is more than there are
	cover     []mark // what labels should rather not be on, besides the marks
}

// layer draws something within the axes.
type layer func(a area)

// picture draws the scene.
func (s *scene) picture() picture {
	p := picture{ID: s.id, Title: s.title, Look: s.look, Total: max(len(s.marks), s.total)}
	s.frame()
	if !s.noThin {
		s.marks = thin(s.marks, &s.x, &s.y, maxMarks, s.ofEntry)
	}
	for i := range s.marks {
		if m := &s.marks[i]; m.note != nil {
			m.drawn = m.note()
		}
	}
	if p.Rows = len(s.marks); s.data != nil {
		p.CSV, p.Rows, p.Total = table(s.heading, s.data), len(s.data), len(s.data)
	} else {
		lines := make([][]string, len(s.marks))
		for i, m := range s.marks {
			lines[i] = append(slices.Clone(m.drawn.line), entryText(m.no))
		}
		p.CSV = table(append(slices.Clone(s.heading), "entry"), lines)
	}
	links := s.links()
	for _, l := range links {
		p.Flags = append(p.Flags, flagged{l.no, l.name, l.anchor})
	}
	p.SVG = s.draw(links)
	return p
}

// frame sets what is left open of the axes.
func (s *scene) frame() {
	for _, a := range []struct {
		axis *axis
		get  func(*mark) float64
	}{{&s.x, func(m *mark) float64 { return m.x }}, {&s.y, func(m *mark) float64 { return m.y }}} {
		if a.axis.lo == 0 && a.axis.hi == 0 {
			a.axis.lo, a.axis.hi = window(s.marks, a.get, a.axis.log)
		}
		if a.axis.ticks == nil {
			a.axis.ticks = func(lo, hi float64) []tick { return roundTicks(lo, hi, a.axis.log) }
		}
	}
}

// svgLink is one entry in a picture: all its marks are one link.
type svgLink struct {
	no     int
	anchor string
	name   string // for the reader of the link
	marks  []int
}

// links gathers the flagged marks by entry, in the order of their numbers.
func (s *scene) links() []svgLink {
	at := map[int]int{}
	var out []svgLink
	for i, m := range s.marks {
		if m.no <= 0 {
			continue
		}
		j, there := at[m.no]
		if !there {
			j = len(out)
			at[m.no] = j
			out = append(out, svgLink{no: m.no, anchor: fmt.Sprintf("%s-point-%d", s.id, m.no), name: m.drawn.text})
		}
		out[j].marks = append(out[j].marks, i)
	}
	sorting.Func(out, func(a, b svgLink) int { return a.no - b.no })
	for i := range out {
		if n := len(out[i].marks); n > 1 {
			out[i].name += fmt.Sprintf(" and %d more", n-1)
		}
	}
	return out[:min(len(out), maxLinks)]
}

// draw sets the scene on a canvas and makes it part of the page.
func (s *scene) draw(links []svgLink) template.HTML {
	c := newCanvas(s.height, len(links))
	y := s.height - 11
	if len(s.key) > 0 {
		y = s.drawKey(c, y)
	}
	if s.y.label != "" {
		write(c, inkText, largeType, 0, y, span{text: s.y.label})
		y -= topLine
	}
	left := s.margin()
	a := area{c, point{left + s.besideY(), 1 + s.belowX()}, point{pictureWidth - 12, y + topLine - 11}, s.x, s.y}
	s.axes(a)
	for _, r := range s.rows {
		write(c, inkText, smallType, left-10-width(r.spans, smallType), a.atY(r.y)-3.6, r.spans...)
	}
	for _, l := range slices.Concat(s.under, s.over) {
		l(a)
	}
	s.drawMarks(a, links)
	return c.svg(s, links)
}

// drawKey sets the key from the left, in as many lines as it needs.
func (s *scene) drawKey(c *canvas, y float64) float64 {
	x := 0.0
	for _, k := range s.key {
		spans := []span{{text: k.text}}
		need := 12 + width(spans, smallType) + 12
		if x > 0 && x+need-12 > pictureWidth {
			x, y = 0, y-topLine
		}
		k.style.shape.paint(c, k.style.ink, []point{{x + 4, y + 3.6}}, markSize)
		write(c, inkQuiet, smallType, x+12, y, spans...)
		x += need
	}
	return y - topLine - 2
}

// margin is the space for the names of rows.
func (s *scene) margin() float64 {
	w := 0.0
	for _, r := range s.rows {
		w = max(w, width(r.spans, smallType))
	}
	if w > 0 {
		w += 10
	}
	return w
}
