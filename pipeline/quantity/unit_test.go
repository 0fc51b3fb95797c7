package quantity

import (
	"math/big"
	"strings"
	"testing"
)

func TestFindUnit(t *testing.T) {
	for _, c := range []struct{ text, code string }{
		{"mm", "mm"}, {"MM", "mm"}, {"millimetres", "mm"}, {"Millimeter", "mm"}, {"milímetros", "mm"},
		{"cm.", "cm"}, {"m", "m"}, {"M", ""}, {"µm", "um"}, {"μm", "um"}, {"um", "um"},
		{"g", "g"}, {"G", "g"}, {"gr", "g"}, {"grams", "g"}, {"gramos", "g"}, {"Gramm", "g"}, {"grammes", "g"},
		{"mg", "mg"}, {"kg", "kg"}, {"kilos", "kg"}, {"oz", "[oz_av]"}, {"onzas", "[oz_av]"}, {"onças", "[oz_av]"},
		{"lbs", "[lb_av]"}, {"libras", "[lb_av]"}, {"Pfund", "[lb_av]"},
		{"in", "[in_i]"}, {`"`, "[in_i]"}, {"”", "[in_i]"}, {"pulgadas", "[in_i]"}, {"Zoll", "[in_i]"},
		{"pouces", "[in_i]"}, {"polegadas", "[in_i]"}, {"'", "[ft_i]"}, {"ft.", "[ft_i]"}, {"pies", "[ft_i]"},
		{"°C", "Cel"}, {"ºC", "Cel"}, {"C", "Cel"}, {"deg C", "Cel"}, {"deg. C.", "Cel"}, {"grados Celsius", "Cel"},
		{"c", ""}, {"°F", "[degF]"}, {"Fahrenheit", "[degF]"}, {"K", "K"}, {"°", "deg"},
		{"h", "h"}, {"hrs", "h"}, {"Stunden", "h"}, {"min", "min"}, {"s", "s"}, {"días", "d"},
		{"%", "%"}, {"‰", "[ppth]"}, {"pH", "[pH]"}, {"µS/cm", "uS/cm"}, {"m/s", "m/s"}, {"m s-1", "m/s"},
		{"km/h", "km/h"}, {"kph", "km/h"}, {"mph", "[mi_i]/h"}, {"mmHg", "mm[Hg]"}, {"mm[Hg]", "mm[Hg]"},
		{"hPa", "hPa"}, {"mL", "mL"}, {"cc", "mL"}, {"l", "L"}, {"mg/l", "mg/L"},
		{"", ""}, {"1", ""}, {"frog", ""}, {"x", ""}, {"M/F", ""},
	} {
		code, ok := FindUnit(c.text)
		if code != c.code || ok != (c.code != "") {
			t.Errorf("%q: %q %v, want %q", c.text, code, ok, c.code)
		}
	}
}

func TestFactor(t *testing.T) {
	for _, c := range []struct{ from, to, want string }{
		{"[in_i]", "mm", "25.4"}, {"[oz_av]", "g", "28.349523125"}, {"[lb_av]", "[oz_av]", "16"},
		{"mm", "mm", "1"}, {"[degF]", "Cel", "5/9"}, {"km/h", "m/s", "5/18"},
	} {
		want, _ := new(big.Rat).SetString(c.want)
		if f, ok := Factor(c.from, c.to); !ok || f.Cmp(want) != 0 {
			t.Errorf("%s to %s: %v %v, want %s", c.from, c.to, f, ok, c.want)
		}
	}
	for _, c := range [][2]string{{"mm", "g"}, {"mm", "none"}, {"", "mm"}} {
		if _, ok := Factor(c[0], c[1]); ok {
			t.Errorf("%s to %s must not have a factor", c[0], c[1])
		}
	}
}

// The way there and back is one, and three units in a row agree.
func TestFactorInverse(t *testing.T) {
	for a, x := range units().codes {
		for b, y := range units().codes {
			f, ok := Factor(a, b)
			g, back := Factor(b, a)
			if ok != back || ok != (x.dimension == y.dimension) {
				t.Fatalf("%s and %s: %v %v", a, b, ok, back)
			}
			if ok && f.Mul(f, g).Cmp(big.NewRat(1, 1)) != 0 {
				t.Errorf("%s to %s and back is %s", a, b, f)
			}
		}
	}
}

func TestHeadingUnit(t *testing.T) {
	for _, c := range []struct{ heading, code, rest string }{
		{"SVL (mm)", "mm", "SVL"}, {"Delta 15 N (o/oo)", "[ppth]", "Delta 15 N"}, {"Mass [g]", "g", "Mass"}, {"Tibia mm", "mm", "Tibia"}, {"peso_g", "g", "peso"},
		{"Cond. µS/cm", "uS/cm", "Cond"}, {"cort ng/ml", "", ""}, {"Load_per_mm", "", ""}, {"Mass g/cm", "", ""},
		{"Wt./g", "g", "Wt."}, {"SVL[mm]", "mm", "SVL"}, {"SVL mm 2", "mm", "SVL 2"}, {"SVL_mm_1", "mm", "SVL 1"},
		{"SVL1 (mm)", "mm", "SVL1"}, {"SVL mm (left)", "mm", "SVL (left)"}, {"SVLmm", "mm", "SVL"},
		{"svlMm", "mm", "svl"}, {"bodyMassG", "g", "bodyMass"}, {"Mass (g, with bag)", "g", "Mass (with bag)"},
		{"Mass in g", "g", "Mass"}, {"Mass (in g)", "g", "Mass"}, {"Weight, g", "g", "Weight"},
		{"Frog + bag g", "g", "Frog + bag"}, {"Masse (g) mit Beutel", "g", "Masse mit Beutel"},
		{"Gewicht in Gramm", "g", "Gewicht"}, {"Peso (gr.)", "g", "Peso"}, {"Tag (g)", "g", "Tag"},
		{"Longitud hocico-cloaca (mm)", "mm", "Longitud hocico-cloaca"}, {"Tail length/mm", "mm", "Tail length"},
		{"Temp (C)", "Cel", "Temp"}, {"Temp C", "Cel", "Temp"}, {"Air temp °C", "Cel", "Air temp"},
		{"Temp. deg C", "Cel", "Temp"}, {"Air temp (ºC)", "Cel", "Air temp"},
		{"Time (min)", "min", "Time"}, {"Handling min", "min", "Handling"}, {"Age (d)", "d", "Age"},
		{"Length in", "[in_i]", "Length"}, {"Length (in)", "[in_i]", "Length"}, {"Elevation ft", "[ft_i]", "Elevation"},
		{"Elevation (m a.s.l.)", "m", "Elevation (a.s.l.)"}, {"Depth m", "m", "Depth"},
		{"Wind speed m/s", "m/s", "Wind speed"}, {"speed (km/h)", "km/h", "speed"}, {"Cond (uS/cm)", "uS/cm", "Cond"},
		{"Humidity (%)", "%", "Humidity"}, {"RH%", "%", "RH"}, {"Air temp_°C", "Cel", "Air temp"}, {"Rel. humidity %", "%", "Rel. humidity"},
		{"DO_mg_L", "mg/L", "DO"}, {"SpecCond_uS_cm", "uS/cm", "SpecCond"}, {"wind_m_s", "m/s", "wind"}, {"wind_ms", "m/s", "wind"}, {"cond.us.cm", "uS/cm", "cond"}, {"call_duration_ms", "ms", "call_duration"},
		// no unit
		{"Mass_g_L", "", ""}, {"cort_ng_L", "", ""},
		{"M", "", ""}, {"g", "", ""}, {"mm", "", ""}, {"Tag g", "", ""}, {"Group g", "", ""}, {"Femur (L)", "", ""},
		{"Toe clip L", "", ""}, {"Sex (M/F)", "", ""}, {"Sex (F)", "", ""}, {"Temp min", "", ""}, {"Temp (min)", "", ""},
		{"pH", "", ""}, {"Time in", "", ""}, {"Check in", "", ""}, {"Plot m", "", ""}, {"Head W", "", ""},
		{"Notes", "", ""}, {"Pit tag", "", ""}, {"", "", ""}, {"(", "", ""}, {"()", "", ""}, {"/", "", ""},
	} {
		code, rest, ok := HeadingUnit(c.heading)
		if code != c.code || rest != c.rest || ok != (c.code != "") {
			t.Errorf("%q: %q %q %v, want %q %q", c.heading, code, rest, ok, c.code, c.rest)
		}
	}
}

func TestHalfWidth(t *testing.T) {
	for _, c := range [][2]float64{{0.5, 0.25}, {2, 1}, {0, 0}, {-1, 0}} {
		if h := HalfWidth(c[0]); h != c[1] {
			t.Errorf("graduation %v: %v, want %v", c[0], h, c[1])
		}
	}
}

// A heading is not searched anew from each of many brackets.
func TestManyBracketsTakeNoTime(t *testing.T) {
	heading := strings.Repeat("(", 1000)
	if n := testing.AllocsPerRun(10, func() { HeadingUnit(heading) }); n > 300 { // 2165 when each bracket was looked into
		t.Errorf("%v allocations", n)
	}
}

// Units that are not read are those of UCUM, tables 1 to 4, without a row in
// mappings/units.csv, and powers and quotients of those with one.
func TestHasUnreadUnit(t *testing.T) {
	for heading, want := range map[string]bool{
		"Volume (mm^4)": true, "Jump (m/d)": true, "Gape (px)": true, "Load (ng)": true, "Uptake (mg kg-1 d-1)": true, "Age (days/100)": true,
		"SVL (mm)": false, "Mass [g]": false, "Wind (m/s)": false, "Mass (with bag)": false, "Femur (L)": false, "SVL mm^4": false, "SVL": false, "SVL (": false, "SVL ()": false, "": false,
	} {
		if got := HasUnreadUnit(heading); got != want {
			t.Errorf("%q: %t", heading, got)
		}
	}
}
