package plot

import (
	"fmt"
	"html/template"
	"slices"

	"spadefoot/pipeline/record/sorting"
)

// Mark is one animal in a picture.
type Mark struct {
	X, Y  float64
	Style Style
	No    int         // entry that doubts it; 0 for none, or unshown
	Note  func() Note // asked for only if the mark is drawn; nil for none
	drawn Note
}

// Note is what is written of a mark.
type Note struct {
	Text string // "MC23-005, 618 mm, 45 g"
	AtX  string // what a mark beyond the left or right edge is labelled with
	AtY  string // and one beyond the upper or lower edge
	Line []string
}

// Axis is one side of a picture. Ticks nil chooses round numbers.
type Axis struct {
	Label  string
	Lo, Hi float64
	Log    bool
	Ticks  Ticker
	Hidden bool
}

// KeyItem is one mark of the key.
type KeyItem struct {
	Style Style
	Text  string
}

// RowLabel names a row of a picture that has rows in place of a y axis.
type RowLabel struct {
	Y     float64
	Spans []Span
}

// Scene is a picture before it is drawn.
type Scene struct {
	ID, Title string
	Caption   string // the caption's sentence
	Desc      string // what the drawing holds, for those who can't see it
	Height    float64
	X, Y      Axis
	Key       []KeyItem
	Rows      []RowLabel
	Under     []Layer // drawn below the marks
	Over      []Layer // drawn above them
	Marks     []Mark
	Heading   []string   // of the data
	Data      [][]string // lines of the data; nil for those of the marks
	NoThin    bool
	OfEntry   int    // marks of one entry at most, 0 for all of them
	Total     int    // marks that there would be, where that is more than there are
	Cover     []Mark // what labels should rather not be on, besides the marks
}

// Layer draws something within the axes.
type Layer func(a Area)

// Picture draws the scene.
func (s *Scene) Picture() Picture {
	p := Picture{ID: s.ID, Title: s.Title, Caption: s.Caption, Total: max(len(s.Marks), s.Total)}
	s.Frame()
	if !s.NoThin {
		s.Marks = thin(s.Marks, &s.X, &s.Y, MaxMarks, s.OfEntry)
	}
	for i := range s.Marks {
		if m := &s.Marks[i]; m.Note != nil {
			m.drawn = m.Note()
		}
	}
	if p.Rows = len(s.Marks); s.Data != nil {
		p.CSV, p.Rows, p.Total = table(s.Heading, s.Data), len(s.Data), len(s.Data)
	} else {
		lines := make([][]string, len(s.Marks))
		for i, m := range s.Marks {
			lines[i] = append(slices.Clone(m.drawn.Line), entryText(m.No))
		}
		p.CSV = table(append(slices.Clone(s.Heading), "entry"), lines)
	}
	links := s.links()
	for _, l := range links {
		p.Flags = append(p.Flags, Flagged{l.no, l.name, l.anchor})
	}
	p.SVG = s.Draw(links)
	return p
}

// Frame sets what is left open of the axes.
func (s *Scene) Frame() {
	for _, a := range []struct {
		axis *Axis
		get  func(*Mark) float64
	}{{&s.X, func(m *Mark) float64 { return m.X }}, {&s.Y, func(m *Mark) float64 { return m.Y }}} {
		if a.axis.Lo == 0 && a.axis.Hi == 0 {
			a.axis.Lo, a.axis.Hi = Window(s.Marks, a.get, a.axis.Log)
		}
		if a.axis.Ticks == nil {
			a.axis.Ticks = func(lo, hi float64) []Tick { return RoundTicks(lo, hi, a.axis.Log) }
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
func (s *Scene) links() []svgLink {
	at := map[int]int{}
	var out []svgLink
	for i, m := range s.Marks {
		if m.No <= 0 {
			continue
		}
		j, there := at[m.No]
		if !there {
			j = len(out)
			at[m.No] = j
			out = append(out, svgLink{no: m.No, anchor: fmt.Sprintf("%s-point-%d", s.ID, m.No), name: m.drawn.Text})
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

// Draw sets the scene on a canvas and makes it part of the page.
func (s *Scene) Draw(links []svgLink) template.HTML {
	c := newCanvas(s.Height, len(links))
	y := s.Height - 11
	if len(s.Key) > 0 {
		y = s.drawKey(c, y)
	}
	if s.Y.Label != "" {
		Write(c, InkText, largeType, 0, y, Span{Text: s.Y.Label})
		y -= TopLine
	}
	left := s.margin()
	a := Area{c, Point{left + s.besideY(), 1 + s.belowX()}, Point{pictureWidth - 12, y + TopLine - 11}, s.X, s.Y}
	s.axes(a)
	for _, r := range s.Rows {
		Write(c, InkText, SmallType, left-10-Width(r.Spans, SmallType), a.AtY(r.Y)-3.6, r.Spans...)
	}
	for _, l := range slices.Concat(s.Under, s.Over) {
		l(a)
	}
	s.drawMarks(a, links)
	return c.svg(s, links)
}

// drawKey sets the key from the left, in as many lines as it needs.
func (s *Scene) drawKey(c *Canvas, y float64) float64 {
	x := 0.0
	for _, k := range s.Key {
		spans := []Span{{Text: k.Text}}
		need := 12 + Width(spans, SmallType) + 12
		if x > 0 && x+need-12 > pictureWidth {
			x, y = 0, y-TopLine
		}
		k.Style.Shape.Paint(c, k.Style.Ink, []Point{{x + 4, y + 3.6}}, MarkSize)
		Write(c, InkQuiet, SmallType, x+12, y, spans...)
		x += need
	}
	return y - TopLine - 2
}

// margin is the space for the names of rows.
func (s *Scene) margin() float64 {
	w := 0.0
	for _, r := range s.Rows {
		w = max(w, Width(r.Spans, SmallType))
	}
	if w > 0 {
		w += 10
	}
	return w
}
