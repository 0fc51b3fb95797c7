package report

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
	c.line(stroke{ink: inkLine, width: 0.8}, 1, 2, 3.25, 4)
	c.lines(stroke{inkText, 1, "4,3"}, point{0, 0}, point{10, 0})
	disc.paint(c, inkOne, []point{{5, 50}, {-0.01, 50}}, 2)
	square.paint(c, inkFour, []point{{20, 20}}, 4)
	c.into(0)
	ring.paint(c, inkFlag, []point{{10, 10}}, 5)
	c.text(inkFlag, smallType, point{3, 97}, span{text: `a<b & "c"`, bold: true})
	c.into(-1)
	c.text(inkText, largeType, point{0, 0}, span{text: "x", italic: true})
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
	s := scene{id: "mass-1", title: "<script>", desc: `"&`}
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
	a := area{min: point{10, 20}, max: point{110, 80}}
	draw := rand.New(rand.NewPCG(19, 84))
	any := func() point { return point{draw.Float64()*300 - 100, draw.Float64()*300 - 100} }
	for range 20000 {
		from, to := any(), any()
		start, stop, ok := a.clipped(from, to)
		within := func(p point, slack float64) bool {
			return p.x >= a.min.x-slack && p.x <= a.max.x+slack && p.y >= a.min.y-slack && p.y <= a.max.y+slack
		}
		if !ok {
			for k := range 101 {
				f := float64(k) / 100
				if within(point{from.x + f*(to.x-from.x), from.y + f*(to.y-from.y)}, -1e-6) {
					t.Fatalf("%v to %v: lost", from, to)
				}
			}
			continue
		}
		for _, p := range []point{start, stop} {
			off := math.Abs((to.x-from.x)*(p.y-from.y)-(to.y-from.y)*(p.x-from.x)) / math.Hypot(to.x-from.x, to.y-from.y)
			if !within(p, 1e-9) || off > 1e-9 {
				t.Fatalf("%v to %v: %v is %g off the line or outside", from, to, p, off)
			}
		}
	}
}

func TestShare(t *testing.T) {
	linear, log := axis{lo: 10, hi: 20}, axis{lo: 1, hi: 100, log: true}
	for _, c := range []struct {
		of       axis
		at, want float64
	}{{linear, 10, 0}, {linear, 15, 0.5}, {linear, 25, 1.5}, {log, 1, 0}, {log, 10, 0.5}, {log, 0, -1}, {log, -4, -1}} {
		if got := c.of.share(c.at); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%g lies at %g, want %g", c.at, got, c.want)
		}
	}
}

// Widths against the published metrics of Helvetica (Adobe core 14 fonts, AFM
// 4.1): A 667 and 722 bold, i 222 and 278, M 833, space 278, one figure 556.
func TestWidths(t *testing.T) {
	for _, c := range []struct {
		of   span
		want float64
	}{
		{span{text: "A"}, 667}, {span{text: "A", bold: true}, 722}, {span{text: "A", italic: true}, 667},
		{span{text: "i"}, 222}, {span{text: "i", bold: true}, 278}, {span{text: "M"}, 833}, {span{text: " "}, 278},
		{span{text: "2024"}, 4 * 556}, {span{text: "蛙"}, 1000}, {span{}, 0},
	} {
		if got := c.of.width(1000); math.Abs(got-c.want) > 1 {
			t.Errorf("%q, bold %v: %g, want %g", c.of.text, c.of.bold, got, c.want)
		}
	}
}
