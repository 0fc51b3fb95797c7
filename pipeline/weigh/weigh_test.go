package weigh

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// mass reads a cell as the normalise stage does.
func mass(t testing.TB, name, text string, column int) *record.Reading {
	t.Helper()
	if text == "nil" {
		return nil
	}
	r, err := quantity.Parse(text, quantity.Options{Unit: "g", Want: "mass"}).Reading("g", text)
	if err != nil {
		t.Fatal(err)
	}
	r.Vary(func(s *record.Series) { s.Measurement = name })
	r = r.At(record.Address{File: "frogs.csv", Row: 7, Column: column})
	return &r
}

func capture(t testing.TB, way record.WeighWay, gross, tare, net string) *record.Capture {
	return &record.Capture{
		Key: "MC-17", File: "frogs.csv", Row: 7, Session: "2021-06-03",
		Weighing: &record.Weighing{
			Way: way, Gross: mass(t, GrossMass, gross, 3), Tare: mass(t, BagMass, tare, 4), Net: mass(t, BodyMass, net, 5),
			Scale: "scale 60",
		},
	}
}

var scales = []Instrument{
	{Name: "scale 60", Kind: "spring scale", Unit: "g", Graduation: 0.5, Capacity: 60},
	{Name: "scale 1000", Kind: "spring scale", Unit: "g", Graduation: 10, Capacity: 1000},
	{Name: "balance", Kind: "balance", Unit: "mg", Graduation: 10, Capacity: 200000},
}

func codes(fs []record.Finding) string {
	var s []string
	for _, f := range fs {
		s = append(s, f.Rule)
	}
	return strings.Join(s, " ")
}

// outcome is the one reading that was added, as "bodyMass measured 29.5 ±0.41".
func outcome(c *record.Capture) string {
	var s []string
	for _, r := range c.Readings {
		s = append(s, r.Measurement+" "+r.State.String()+" "+r.Text+" ±"+plain(r.Accuracy))
	}
	return strings.Join(s, "; ")
}

func TestWeigh(t *testing.T) {
	for _, c := range []struct {
		name             string
		way              record.WeighWay
		gross, tare, net string
		want, findings   string
	}{
		{"gross less tare", record.SameRow, "33.5", "4.0", "nil", "bodyMass measured 29.5 ±0.41", ""},
		{"one tare for the session", record.SessionTare, "33.5", "4", "nil", "bodyMass measured 29.5 ±0", ""},
		{"the written net agrees", record.SameRow, "33.5", "4.0", "29.5", "bodyMass measured 29.5 ±0.41", ""},
		{"the written net is a slip", record.SameRow, "33.5", "4.0", "28.5", "bodyMass measured 28.5 ±0.41", ruleNetDiffers},
		{"doubt stays", record.SameRow, "33.5?", "4.0", "nil", "bodyMass doubtful 29.5 ±0.41", ""},
		{"doubt about the bag stays", record.SameRow, "33.5", "c. 4.0", "nil", "bodyMass doubtful 29.5 ±0.41", ""},
		{"a range stays a range", record.SameRow, "33-35", "4.0", "nil", "bodyMass interval 29.0-31.0 ±0.41", ruleNetBound},
		{"below", record.SameRow, "<10", "4.0", "nil", "bodyMass below 6.0 ±0.41", ruleNetBound},
		{"above", record.SameRow, ">60", "4.0", "nil", "bodyMass above 56.0 ±0.41", ruleNetBound},
		{"a bag below", record.SameRow, "33.5", "<1", "nil", "bodyMass above 32.5 ±0.41", ruleNetBound},
		{"two bounds leave nothing", record.SameRow, "<10", "<1", "nil", "", ruleNetBound},
		{"no tare in the row", record.SameRow, "33.5", "n/a", "nil", "grossMass measured 33.5 ±0.29", ruleTareMissing},
		{"no tare at all", record.NoTare, "33.5", "nil", "nil", "grossMass measured 33.5 ±0.29", ""},
		{"no tare but a written net", record.SameRow, "33.5", "nil", "29.5", "bodyMass measured 29.5 ±0.41", ""},
		{"only a written net", record.SameRow, "nil", "nil", "29.5", "bodyMass measured 29.5 ±0.41", ""},
		{"nothing taken", record.SameRow, "n/a", "n/a", "nil", "", ""},
		{"only a tare", record.SameRow, "escaped", "4.0", "nil", "", ""},
		{"an unread gross", record.SameRow, "frog", "4.0", "nil", "", ""},
		{"an unread tare", record.SameRow, "33.5", "frog", "nil", "grossMass measured 33.5 ±0.29", ruleTareMissing},
		{"zeroed", record.Zeroed, "nil", "nil", "29.5", "bodyMass measured 29.5 ±0.41", ""},
		{"zeroed, written as gross", record.Zeroed, "29.5", "nil", "nil", "bodyMass measured 29.5 ±0.41", ""},
		{"zeroed, nothing taken", record.Zeroed, "nil", "nil", "n/a", "", ""},
		{"zeroed and not positive", record.Zeroed, "nil", "nil", "-0.5", "", ruleNotPositive},
		{"tare as heavy as gross", record.SameRow, "4.0", "4.0", "nil", "", ruleLow + " " + ruleTareNotLess},
		{"swapped", record.SameRow, "6.0", "33.5", "nil", "", ruleTareNotLess},
		{"gross of zero, no tare", record.NoTare, "0", "nil", "nil", "", ruleNotPositive},
		{"beyond the scale", record.SameRow, "75", "4.0", "nil", "bodyMass measured 71.0 ±0.41", RuleCapacity},
		{"more than the scale shows is not a fault", record.SameRow, ">60", "4", "nil", "bodyMass above 56 ±0.41", ruleNetBound},
		{"between the marks", record.SameRow, "33.3", "4.0", "nil", "bodyMass measured 29.3 ±0.41", ruleGraduation},
		{"a small animal", record.SameRow, "6.5", "4.0", "nil", "bodyMass measured 2.5 ±0.41", ruleNetUncertain},
		{"low on the scale", record.SameRow, "5.5", "1.0", "nil", "bodyMass measured 4.5 ±0.41", ruleLow},
		{"ounces", record.SameRow, "1.5 oz", "0.2 oz", "nil", "bodyMass measured 36.9 ±0.41", ""},
		{"a workbook's whole number", record.SameRow, "29", "4.5", "nil", "bodyMass measured 24.5 ±0.41", ""},
		{"as written", record.AsWritten, "nil", "nil", "29.5", "bodyMass measured 29.5 ±0.41", ""},
		{"nothing said of the way", "", "nil", "nil", "29.5", "bodyMass measured 29.5 ±0.41", ""},
		{"a bag of 0 g", record.SameRow, "29.5", "0", "nil", "bodyMass measured 29.5 ±0.41", ""},
	} {
		x := capture(t, c.way, c.gross, c.tare, c.net)
		fs := Weigh(x, BagTable{}, Settings{Instruments: scales})
		if got := outcome(x); got != c.want || codes(fs) != c.findings {
			t.Errorf("%s: %q %q, want %q %q", c.name, got, codes(fs), c.want, c.findings)
		}
		for _, f := range fs {
			if f.Capture != "MC-17" || f.At.Row != 7 || f.Reason == "" || f.Level == 0 {
				t.Errorf("%s: %+v", c.name, f)
			}
		}
		once := outcome(x)
		again := Weigh(x, BagTable{}, Settings{Instruments: scales})
		if outcome(x) != once || codes(again) != codes(fs) {
			t.Errorf("%s: a second call gives %q %q", c.name, outcome(x), codes(again))
		}
	}
}

// The worked sum, by JCGM 100:2008. A spring scale with a mark every 0.5 g
// shows 33.5 g with the frog and 4.0 g without.
//
//	half width of each reading      a = 0.5/2           = 0.25 g    (4.3.7)
//	standard uncertainty of each    u = 0.25/√3         = 0.1443 g
//	net                             33.5 − 4.0          = 29.5 g
//	combined                        √(0.1443²+0.1443²)  = 0.2041 g  (5.1.2)
//	expanded, k = 2                                     = 0.4082 g  (6.2.1)
//	to two digits                                       = 0.41 g    (7.2.6)
//
// With the bag on a balance that reads 0.01 g, u(tare) = 0.005/√3 = 0.0029 g,
// and the expanded uncertainty is 2·√(0.1443²+0.0029²) = 0.2888, so 0.29 g.
func TestWorkedSum(t *testing.T) {
	c := capture(t, record.SameRow, "33.5", "4.0", "nil")
	Weigh(c, BagTable{}, Settings{Instruments: scales})
	u := 0.25 / math.Sqrt(3)
	if r := c.Reading(BodyMass); r == nil || r.Number != 29.5 || r.Accuracy != 0.41 ||
		math.Abs(2*math.Sqrt(u*u+u*u)-0.4082) > 5e-5 {
		t.Errorf("%+v", r)
	}
	c = capture(t, record.SameRow, "33.5", "4.03", "nil")
	c.Weighing.Tare.Vary(func(s *record.Series) { s.Instrument = "balance" })
	Weigh(c, BagTable{}, Settings{Instruments: scales})
	if r := c.Reading(BodyMass); r == nil || r.Text != "29.47" || r.Accuracy != 0.29 {
		t.Errorf("%+v", r)
	}
}

func TestNetReading(t *testing.T) {
	c := capture(t, record.SameRow, "33.5", "4.0", "nil")
	Weigh(c, BagTable{}, Settings{Instruments: scales})
	want := record.Reading{Series: &record.Series{Measurement: BodyMass, Unit: "g", WrittenUnit: "g", Instrument: "scale 60", Derived: true}, Number: 29.5, Decimals: 1, Text: "29.5", Accuracy: 0.41, Rare: &record.Rare{Remark: "graduation 0.5 g of scale 60"}}.At(c.Weighing.Gross.From())
	if d := cmp.Diff([]record.Reading{want}, c.Readings); d != "" {
		t.Error(d)
	}
	if c.Weighing.Net == nil || c.Weighing.Net.Text != "29.5" || !c.Weighing.Net.Derived {
		t.Errorf("%+v", c.Weighing.Net)
	}
	c = capture(t, record.SameRow, "33.5", "4.0", "28.5")
	Weigh(c, BagTable{}, Settings{})
	if n := c.Weighing.Net; n.Text != "28.5" || n.Derived || n.Verbatim != "28.5" {
		t.Errorf("the written net was changed: %+v", n)
	}
}

// Without a known scale there is no accuracy, and the resolution is that of the
// coarser column.
func TestScaleNotKnown(t *testing.T) {
	x := capture(t, record.SameRow, "33.5", "4.0", "nil")
	x.Weighing.Scale = ""
	x.Weighing.Gross.Vary(func(s *record.Series) { s.Resolution = 0.5 })
	x.Weighing.Tare.Vary(func(s *record.Series) { s.Resolution = 0.1 })
	Weigh(x, BagTable{}, Settings{})
	if r := x.Readings[0]; r.Accuracy != 0 || r.Remark() != "" || r.Resolution != 0.5 {
		t.Errorf("%+v", r)
	}
	x = capture(t, record.AsWritten, "nil", "nil", "29")
	x.Weighing.Scale = ""
	Weigh(x, BagTable{}, Settings{})
	if r := x.Readings[0]; r.Accuracy != 0 || r.Remark() != "" || r.Instrument != "" || r.Derived {
		t.Errorf("%+v", r)
	}
}

// What is in a budget is in the remark, and adds up by JCGM 100:2008, 5.1.2.
func TestBudget(t *testing.T) {
	declared := []Instrument{{Name: "scale 60", Unit: "g", Graduation: 0.5, Capacity: 60, Calibration: 0.3}}
	x := capture(t, record.SessionTare, "33.5", "4.0", "nil")
	x.Weighing.Spread = 0.4
	Weigh(x, BagTable{}, Settings{Instruments: declared})
	// by Python: 2*(2*0.5**2/12 + 2*0.15**2 + 0.4**2)**0.5 = 0.9933, to two digits 0.99
	if r := x.Readings[0]; r.Accuracy != 0.99 ||
		r.Remark() != "graduation 0.5 g of scale 60; calibration ±0.3 g; spread between bags 0.4 g" {
		t.Errorf("%+v", r)
	}
	x.Weighing.Spread = 0
	Weigh(x, BagTable{}, Settings{Instruments: declared})
	if r := x.Readings[0]; r.Accuracy != 0 || !strings.HasSuffix(r.Remark(), "; spread between bags not known") {
		t.Errorf("%+v", r)
	}
}

// A bag of 0 g where other bags weigh something was not weighed.
func TestZeroTare(t *testing.T) {
	for _, c := range []struct{ net, want, remark string }{
		{"nil", "grossMass measured 29.5 ±0.29", "tare written as 0 g; animal and bag together; graduation 0.5 g of scale 60"},
		{"25", "bodyMass measured 25 ±0.41", "tare written as 0 g; graduation 0.5 g of scale 60"},
	} {
		x := capture(t, record.SameRow, "29.5", "0", c.net)
		x.Weighing.Bagged = true
		fs := Weigh(x, BagTable{}, Settings{Instruments: scales})
		if outcome(x) != c.want || codes(fs) != ruleTareZero || x.Readings[0].Remark() != c.remark || fs[0].At.Column != 4 || fs[0].Level != record.Warning {
			t.Errorf("%s %q %v", outcome(x), x.Readings[0].Remark(), fs)
		}
		if again := Weigh(x, BagTable{}, Settings{Instruments: scales}); outcome(x) != c.want || codes(again) != ruleTareZero {
			t.Errorf("a second call gives %q %v", outcome(x), again)
		}
		if x.Weighing.Tare.Usable() || x.Weighing.Tare.Verbatim != "0" {
			t.Errorf("%+v", x.Weighing.Tare)
		}
	}
}

func TestScale(t *testing.T) {
	x := capture(t, record.SameRow, "33.5", "4.0", "nil")
	x.Weighing.Scale = "Scale  60"
	if fs := Weigh(x, BagTable{}, Settings{Instruments: scales}); len(fs) > 0 || x.Readings[0].Accuracy != 0.41 {
		t.Errorf("%v %s", fs, outcome(x))
	}
	x.Weighing.Scale = "scale 61"
	if fs := Weigh(x, BagTable{}, Settings{Instruments: scales}); codes(fs) != ruleScaleUnknown {
		t.Errorf("%v", fs)
	}
}

func TestFigures(t *testing.T) {
	x := capture(t, record.SameRow, "33.5", "4.0", "28.5")
	f := Weigh(x, BagTable{}, Settings{Instruments: scales})[0]
	if f.Suggestion != "29.5" || f.Value != "28.5" || f.At.Column != 5 {
		t.Errorf("%+v", f)
	}
	want := []record.Figure{{Name: "value", Value: 28.5}, {Name: "expected", Value: 29.5}, {Name: "statistic", Value: 1}, {Name: "threshold", Value: 0.41}}
	if d := cmp.Diff(want, f.Figures); d != "" {
		t.Error(d)
	}
}

func TestThresholds(t *testing.T) {
	x := capture(t, record.SameRow, "14.0", "4.0", "nil")
	if fs := Weigh(x, BagTable{}, Settings{Instruments: scales}); len(fs) > 0 {
		t.Errorf("4 %% is below the default: %v", fs)
	}
	if fs := Weigh(x, BagTable{}, Settings{Instruments: scales, RelativeUncertainty: 0.03, LowFraction: 0.5}); codes(fs) != ruleLow+" "+ruleNetUncertain {
		t.Errorf("%v", fs)
	}
}

func TestNoWeighing(t *testing.T) {
	if fs := Weigh(nil, BagTable{}, Settings{}); fs != nil {
		t.Error(fs)
	}
	c := &record.Capture{}
	if fs := Weigh(c, BagTable{}, Settings{}); fs != nil || len(c.Readings) > 0 {
		t.Error(fs, c.Readings)
	}
	c.Weighing = &record.Weighing{}
	if fs := Weigh(c, BagTable{}, Settings{}); len(fs) > 0 || len(c.Readings) > 0 {
		t.Error(fs, c.Readings)
	}
}
