package plot

import (
	"encoding/xml"
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func TestCanvas(t *testing.T) {
	c := newCanvas(100, 1)
	c.Line(Stroke{Ink: InkLine, Width: 0.8}, 1, 2, 3.25, 4)
	c.Lines(Stroke{InkText, 1, "4,3"}, Point{0, 0}, Point{10, 0})
	Disc.Paint(c, InkOne, []Point{{5, 50}, {-0.01, 50}}, 2)
	Square.Paint(c, InkFour, []Point{{20, 20}}, 4)
	c.into(0)
	Ring.Paint(c, inkFlag, []Point{{10, 10}}, 5)
	c.text(inkFlag, SmallType, Point{3, 97}, Span{Text: `a<b & "c"`, Bold: true})
	c.into(-1)
	c.text(InkText, largeType, Point{0, 0}, Span{Text: "x", Italic: true})
	const plain = `<path class="k3" stroke-width="0.8" d="M1,98L3.2,96"/>` +
		`<path class="k1" stroke-dasharray="4,3" d="M0,100L10,100"/>` +
		`<path class="k5" stroke-width="3.4" d="M5,50h0M0,50h0"/>` +
		`<path class="f8" d="M17,83L23,83L23,77L17,77Z"/>` +
		`<text class="f1 large it" x="0" y="100" textLength="5.8" lengthAdjust="spacingAndGlyphs">x</text>`
	const linked = `<path class="k4 hit" stroke-width="1.1" d="M15,90a5,5 0 1 0 -10,0a5,5 0 1 0 10,0Z"/>` +
		`<text class="f4 b" x="3" y="3" textLength="47.6" lengthAdjust="spacingAndGlyphs">a&lt;b &amp; &#34;c&#34;</text>`
	if got := c.plain.String(); got != plain {
		t.Errorf("got  %s\nwant %s", got, plain)
	}
	if got := c.links[0].String(); got != linked {
		t.Errorf("got  %s\nwant %s", got, linked)
	}
	s := Scene{ID: "mass-1", Title: "<script>", Desc: `"&`}
	d := xml.NewDecoder(strings.NewReader(string(c.svg(&s, []svgLink{{no: 3, anchor: "mass-1-point-3", name: "A & B"}}))))
	for {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
}

// A clipped line lies within the area and on the line; a line through the area
// is never lost.
func TestClipped(t *testing.T) {
	a := Area{Min: Point{10, 20}, Max: Point{110, 80}}
	draw := rand.New(rand.NewPCG(19, 84))
	any := func() Point { return Point{draw.Float64()*300 - 100, draw.Float64()*300 - 100} }
	for range 20000 {
		from, to := any(), any()
		start, stop, ok := a.Clipped(from, to)
		within := func(p Point, slack float64) bool {
			return p.X >= a.Min.X-slack && p.X <= a.Max.X+slack && p.Y >= a.Min.Y-slack && p.Y <= a.Max.Y+slack
		}
		if !ok {
			for k := range 101 {
				f := float64(k) / 100
				if within(Point{from.X + f*(to.X-from.X), from.Y + f*(to.Y-from.Y)}, -1e-6) {
					t.Fatalf("%v to %v: lost", from, to)
				}
			}
			continue
		}
		for _, p := range []Point{start, stop} {
			off := math.Abs((to.X-from.X)*(p.Y-from.Y)-(to.Y-from.Y)*(p.X-from.X)) / math.Hypot(to.X-from.X, to.Y-from.Y)
			if !within(p, 1e-9) || off > 1e-9 {
				t.Fatalf("%v to %v: %v is %g off the line or outside", from, to, p, off)
			}
		}
	}
}

func TestShare(t *testing.T) {
	linear, log := Axis{Lo: 10, Hi: 20}, Axis{Lo: 1, Hi: 100, Log: true}
	for _, c := range []struct {
		of       Axis
		at, want float64
	}{{linear, 10, 0}, {linear, 15, 0.5}, {linear, 25, 1.5}, {log, 1, 0}, {log, 10, 0.5}, {log, 0, -1}, {log, -4, -1}} {
		if got := c.of.Share(c.at); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%g lies at %g, want %g", c.at, got, c.want)
		}
	}
}

// Widths against the published metrics of Helvetica (Adobe core 14 fonts, AFM
// 4.1): A 667 and 722 bold, i 222 and 278, M 833, space 278, one figure 556.
func TestWidths(t *testing.T) {
	for _, c := range []struct {
		of   Span
		want float64
	}{
		{Span{Text: "A"}, 667}, {Span{Text: "A", Bold: true}, 722}, {Span{Text: "A", Italic: true}, 667},
		{Span{Text: "i"}, 222}, {Span{Text: "i", Bold: true}, 278}, {Span{Text: "M"}, 833}, {Span{Text: " "}, 278},
		{Span{Text: "2024"}, 4 * 556}, {Span{Text: "蛙"}, 1000}, {Span{}, 0},
	} {
		if got := c.of.Width(1000); math.Abs(got-c.want) > 1 {
			t.Errorf("%q, bold %v: %g, want %g", c.of.Text, c.of.Bold, got, c.want)
		}
	}
}
