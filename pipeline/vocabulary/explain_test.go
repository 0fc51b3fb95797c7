package vocabulary

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// Remarks as people write them: common practice.
func TestExplanations(t *testing.T) {
	for text, want := range map[string]string{
		"cut tail":                         "tailLength smaller",
		"CUTTAIL":                          "tailLength smaller",
		"Recap, tail tip missing":          "tailLength smaller",
		"tail regenerated":                 "tailLength smaller",
		"regen. tail":                      "tailLength smaller",
		"Missing data. Tail ok":            "",
		"no tail":                          "tailLength smaller",
		"tail not broken":                  "",
		"tail was not cut":                 "",
		"no injury":                        "",
		"tail ok, toe missing":             "footLength smaller",
		"left hind leg missing":            "tibiaLength smaller",
		"eye swollen":                      "eyeDiameter larger",
		"gravid":                           "bodyMass larger",
		"GRAVID female":                    "bodyMass larger",
		"not gravid":                       "",
		"spent":                            "bodyMass smaller",
		"Schwanz abgebrochen":              "tailLength smaller",
		"Schwanzspitze fehlt":              "tailLength smaller",
		"ohne Schwanz":                     "tailLength smaller",
		"Schwanz nicht regeneriert":        "",
		"trächtig":                         "bodyMass larger",
		"cola regenerada":                  "tailLength smaller",
		"sin cola":                         "tailLength smaller",
		"cauda quebrada":                   "tailLength smaller",
		"queue coupée":                     "tailLength smaller",
		"coda rigenerata":                  "tailLength smaller",
		"staart afgebroken":                "tailLength smaller",
		"断尾":                               "tailLength smaller",
		"尾巴再生":                             "tailLength smaller",
		"怀卵":                               "bodyMass larger",
		"missing data sheet; tail clean":   "",
		"bit the observer":                 "",
		"released at the back of the pond": "",
	} {
		var got []string
		for _, e := range Explanations(text, "") {
			side := "smaller"
			if e.Larger {
				side = "larger"
			}
			for _, m := range []string{"tailLength", "footLength", "tibiaLength", "eyeDiameter", "bodyMass"} {
				if slices.Contains(e.Measurements, m) && !slices.Contains(got, m+" "+side) {
					got = append(got, m+" "+side)
				}
			}
		}
		if !slices.Contains(got, want) && (want != "" || len(got) > 0) {
			t.Errorf("%q: %q, want %q", text, strings.Join(got, "; "), want)
		}
	}
	if got := fmt.Sprint(Explanations("regen", "tailLength")); got != "[{[tailLength] false 0}]" {
		t.Errorf("beside a reading: %s", got)
	}
}

// Every measurement of the table is one of the vocabulary, and every kind is known.
func TestRemarkWords(t *testing.T) {
	all := Measurements()
	kinds := []string{"part", "damaged", "regrown", "swollen", "heavy", "light", "without", "not"}
	for _, p := range remarkPhrases() {
		if !slices.Contains(kinds, p.kind) || len(p.words) == 0 {
			t.Errorf("%+v", p)
		}
		for _, name := range p.measurements {
			if !slices.ContainsFunc(all, func(m Measurement) bool { return m.Name == name }) {
				t.Errorf("%q is no measurement", name)
			}
		}
	}
}
