package weigh

import (
	"fmt"
	"testing"

	"spadefoot/mappings"
)

func TestReadCheck(t *testing.T) {
	one := []Instrument{{Name: "scale 100", Unit: "g", Graduation: 0.1}, {Name: "caliper", Unit: "mm"}}
	two := append([]Instrument{{Name: "Pan balance", Unit: "kg", Graduation: 0.001}}, one...)
	for _, c := range []struct {
		text   string
		scales []Instrument
		want   string // "" where it is not understood
	}{
		{"Calibration: 50 g weight reads 50.5", one, "[{scale 100  50 50.5}]"},
		{"Calibration: 50 g weight reads 50.5 g; zero 0.1", one, "[{scale 100  50 50.5} {scale 100  0 0.1}]"},
		{"Calibration: 50 g = 50,5 g, 100 g = 101 g", one, "[{scale 100  50 50.5} {scale 100  100 101}]"},
		{"Calibration 2024-05-03: 50 g → 50.5", one, "[{scale 100 2024-05-03 50 50.5}]"},
		{"Check weight 20 g reads 20.1", one, "[{scale 100  20 20.1}]"},
		{"Calibration: scale reads 50.5 g with 50 g weight", one, "[{scale 100  50 50.5}]"},
		{"Zero check 0.1", one, "[{scale 100  0 0.1}]"},
		{"Zero reading: -0.2 g", one, "[{scale 100  0 -0.2}]"},
		{"Calibration: 0 reads 0.1", one, "[{scale 100  0 0.1}]"},
		{"Kalibrierung: Prüfgewicht 50 g zeigt 50,5 g", one, "[{scale 100  50 50.5}]"},
		{"Nullkontrolle: 0,1 g", one, "[{scale 100  0 0.1}]"},
		{"Calibración: pesa 50 g marca 50,5 g", one, "[{scale 100  50 50.5}]"},
		{"Étalonnage : poids 50 g indique 50,5 g", one, "[{scale 100  50 50.5}]"},
		{"Calibration: scale 100, 50 g reads 50.5", two, ""},
		{"Calibration: scale 100 50 g reads 50.5; zero 0", two, ""},
		{"Calibration: scale 100 50 g reads 50.5", two, "[{scale 100  50 50.5}]"},
		{"Calibration of pan balance: 50 g reads 51 g", two, "[{Pan balance  0.05 0.051}]"},
		{"Calibration: 50 g reads 50.5", two, ""},
		{"Calibration: 50 g reads 50.5", nil, ""},
		{"Calibration: 50 and 50.5", one, ""},
		{"Calibration: 50 50.5", one, ""},
		{"Calibration: should read 50 g, reads 50.5", one, ""},
		{"Calibration: done by I. Varga", one, ""},
		{"Calibration: ok", one, ""},
		{"Calibration: 50 g reads 50.5 mm", one, ""},
	} {
		if !beginsCheck(c.text) {
			t.Errorf("%q begins no check", c.text)
		}
		checks, why := checksIn(c.text, c.scales)
		got := ""
		if why == "" {
			got = fmt.Sprint(checks)
		}
		if got != c.want || (why == "") != (len(checks) > 0) {
			t.Errorf("%q: %s (%s), want %s", c.text, got, why, c.want)
		}
	}
	for _, text := range []string{"CAL-001", "Site: Tern Slough", "50 g", "", "Lithobates pipiens", "Recalibrated"} {
		if beginsCheck(text) {
			t.Errorf("%q begins a check", text)
		}
	}
	if _, err := mappings.Table[struct {
		Kind string `csv:"kind"`
	}]("calibration_words.csv"); err != nil || len(checkPhrases()) == 0 {
		t.Error(err)
	}
}

// What is read is finite and named, whatever the line.
func FuzzReadCheck(f *testing.F) {
	for _, s := range []string{"Calibration: 50 g weight reads 50.5", "Zero check 0.1", "校准：砝码 50 g 读数 50.5", "Calibration: 1e400 g = 3"} {
		f.Add(s)
	}
	scales := []Instrument{{Name: "scale 100", Unit: "g", Graduation: 0.1}}
	f.Fuzz(func(t *testing.T, text string) {
		checks, why := checksIn(text, scales)
		if (why == "") != (len(checks) > 0) {
			t.Errorf("%q: %v, %q", text, checks, why)
		}
		for _, c := range checks {
			if c.Scale != "scale 100" || c.Load < 0 {
				t.Errorf("%q: %+v", text, c)
			}
		}
	})
}
