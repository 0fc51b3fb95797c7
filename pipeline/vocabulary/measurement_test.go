package vocabulary

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

func TestFindMeasurement(t *testing.T) {
	for text, want := range map[string]string{
		"SVL": "snoutVentLength", "svl": "snoutVentLength", "snout vent length": "snoutVentLength",
		"snoutVentLength": "snoutVentLength", "HW": "headWidth", "E-N": "eyeNostrilDistance", "IOD": "interorbitalDistance",
		"δ15N": "delta15N", "Delta 13 C": "delta13C", "tibia length": "tibiaLength", "FAL": "forearmLength",
		"TL": "", "FL": "", "BW": "", "TaL": "", "W": "", "unheard of": "", "": "",
	} {
		if m, ok := FindMeasurement(text); m.Name != want || ok != (want != "") {
			t.Errorf("%q: %q %v, want %q", text, m.Name, ok, want)
		}
	}
	var names []string
	for _, m := range MeasurementsCalled("TL") {
		names = append(names, m.Name)
	}
	if !slices.Equal(names, []string{"tibiaLength", "tailLength", "totalLength"}) {
		t.Errorf("TL may be %v", names)
	}
}

// The table keeps its own promises: names, ranges, the marks for what is
// ambiguous, and definitions long enough to measure by.
func TestMeasurementTable(t *testing.T) {
	ms := Measurements()
	if len(ms) < 60 {
		t.Errorf("%d measurements, at least 60 wanted", len(ms))
	}
	headings := Headings()
	camel := regexp.MustCompile(`^[a-z]+[A-Za-z0-9]*$`)
	uses := map[string][]string{}
	for _, m := range ms {
		for _, a := range m.Abbreviations {
			uses[Fold(a)] = append(uses[Fold(a)], m.Name)
		}
		uses[Fold(m.Label)] = append(uses[Fold(m.Label)], m.Name)
		switch {
		case !camel.MatchString(m.Name):
			t.Errorf("%s is not lowerCamelCase", m.Name)
		case m.Unit == "" || m.Dimension == "" || m.Label == "" || m.Scope == "" || m.Instrument == "":
			t.Errorf("%s has an empty field", m.Name)
		case m.Minimum >= m.Maximum:
			t.Errorf("%s: minimum %g, maximum %g", m.Name, m.Minimum, m.Maximum)
		case len(m.Definition) < 30 || !strings.HasSuffix(m.Definition, "."):
			t.Errorf("%s: definition %q", m.Name, m.Definition)
		}
	}
	for _, m := range ms {
		for _, a := range m.Abbreviations {
			others := slices.DeleteFunc(slices.Clone(uses[Fold(a)]), func(n string) bool { return n == m.Name })
			marked := slices.ContainsFunc(m.Ambiguous, func(w string) bool { return Fold(w) == Fold(a) })
			if len(others) > 0 && !marked {
				t.Errorf("%s: %s also stands for %v and is not marked ambiguous", m.Name, a, others)
			}
			if marked && len(others) == 0 && len(a) > 1 && !slices.ContainsFunc(headings, func(h Heading) bool { return h.Role == HeadingTerm && Fold(h.Heading) == Fold(a) }) {
				t.Errorf("%s: %s is marked ambiguous and stands for nothing else", m.Name, a)
			}
		}
	}
}

// Every unit is made of atoms that UCUM lists, with the usual prefixes.
func TestUnitsAgainstUCUM(t *testing.T) {
	b, err := os.ReadFile(need.Shared(t, "standards/ucum/ucum-essence.xml"))
	if err != nil {
		t.Fatal(err)
	}
	atom := func(s string) bool { return strings.Contains(string(b), `Code="`+s+`"`) }
	ms := Measurements()
	for _, m := range ms {
		for part := range strings.SplitSeq(m.Unit, "/") {
			if part != "" && part != "1" && !atom(part) && !(strings.ContainsAny(part[:1], "cmuk") && atom(part[1:])) {
				t.Errorf("%s: unit %s is not UCUM", m.Name, m.Unit)
			}
		}
	}
}

// Every heading says something that exists, once per language.
func TestHeadingTable(t *testing.T) {
	hs := Headings()
	terms, err := os.ReadFile(need.Shared(t, "standards/darwin-core/term_versions.csv"))
	if err != nil {
		t.Fatal(err)
	}
	parts := []string{record.Gross, record.Tare, record.Net, record.Bag, record.Scale}
	perLanguage := map[string]int{}
	for _, h := range hs {
		perLanguage[h.Language]++
		if h.Heading == "" || h.Value == "" || h.Weight <= 0 || h.Weight > 1 {
			t.Errorf("row %+v", h)
		}
		switch h.Role {
		case HeadingTerm:
			if !strings.Contains(string(terms), ","+h.Value+",") {
				t.Errorf("%q: no term %s", h.Heading, h.Value)
			}
		case HeadingMeasurement:
			if m, ok := FindMeasurement(h.Value); !ok || m.Name != h.Value {
				t.Errorf("%q: no measurement %s", h.Heading, h.Value)
			}
		case HeadingWeighing:
			if !slices.Contains(parts, h.Value) {
				t.Errorf("%q: no part %s", h.Heading, h.Value)
			}
		case HeadingLong:
			if !slices.Contains([]string{"name", "value", "unit"}, h.Value) {
				t.Errorf("%q: no column %s of a long sheet", h.Heading, h.Value)
			}
		case HeadingAside:
		default:
			t.Errorf("%q: role %q", h.Heading, h.Role)
		}
	}
	for _, language := range []string{"en", "de", "es", "pt", "fr"} {
		if perLanguage[language] < 80 {
			t.Errorf("%s has only %d headings", language, perLanguage[language])
		}
	}
}

func TestNamedMeasurement(t *testing.T) {
	for text, want := range map[string]string{"SVL": "snoutVentLength", "tibia": "tibiaLength", "Kopfbreite": "headWidth", "Largeur tête": "headWidth",
		"TL": "", "Length": "length", "Largo": "", "Gross": "", "Zorb": "", "": ""} {
		if m, ok := namedMeasurement(text); m.Name != want || ok != (want != "") {
			t.Errorf("%q: %q, want %q", text, m.Name, want)
		}
	}
}
