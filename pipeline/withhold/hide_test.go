package withhold

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
)

// lookup is a small checklist.
func lookup(name string) (Lineage, bool) {
	rana := Lineage{"genus": "Lithobates", "family": "Ranidae", "order": "Anura", "class": "Amphibia"}
	with := func(accepted, epithet string, l Lineage) Lineage {
		out := Lineage{"scientificName": accepted, "specificEpithet": epithet}
		for k, v := range l {
			out[k] = v
		}
		return out
	}
	switch fold(name) {
	case "lithobates sylvaticus", "rana sylvatica":
		return with("Lithobates sylvaticus", "sylvaticus", rana), true
	case "lithobates pipiens":
		return with("Lithobates pipiens", "pipiens", rana), true
	case "ranidae":
		return Lineage{"scientificName": "Ranidae", "family": "Ranidae", "order": "Anura", "class": "Amphibia"}, true
	case "anaxyrus americanus", "american toad":
		return Lineage{"scientificName": "Anaxyrus americanus", "specificEpithet": "americanus", "genus": "Anaxyrus", "family": "Bufonidae", "order": "Anura"}, true
	}
	return nil, false
}

func animal(values ...string) *record.Capture {
	c := &record.Capture{}
	for i := 0; i+1 < len(values); i += 2 {
		c.Set(record.Value{Field: record.Of(values[i]), Text: values[i+1], Verbatim: values[i+1]})
	}
	return c
}

// Only a species that the checklist has, and that nothing beside it doubts, is
// another one for certain.
func TestJudge(t *testing.T) {
	tests := []struct {
		taxon   string
		capture *record.Capture
		with    verdict // a checklist
		without verdict
	}{
		{"Lithobates sylvaticus", animal("scientificName", "Lithobates sylvaticus", "genus", "Lithobates", "specificEpithet", "sylvaticus"), sure, sure},
		{"Lithobates sylvaticus", animal("scientificName", "lithobates SYLVATICUS maslini"), sure, sure},
		{"Rana sylvatica", animal("scientificName", "Lithobates sylvaticus"), sure, maybe},
		{"Lithobates sylvaticus", animal("scientificName", "Lithobates pipiens", "specificEpithet", "pipiens", "genus", "Lithobates"), other, maybe},
		{"Lithobates", animal("scientificName", "Lithobates pipiens"), sure, sure},
		{"Ranidae", animal("scientificName", "Lithobates pipiens", "family", "Ranidae"), sure, sure},
		{"Ranidae", animal("scientificName", "Lithobates pipiens"), sure, maybe},
		{"Ranidae", animal("scientificName", "Anaxyrus americanus", "family", "Bufonidae", "specificEpithet", "americanus"), other, maybe},
		{"Ranidae", animal("scientificName", "Anaxyrus americanus", "family", "Ranidae"), sure, sure},
		{"Plethodontidae", animal("scientificName", "Anaxyrus americanus"), other, maybe},
		{"Lithobates sylvaticus", animal("scientificName", "Lithobates", "taxonRank", "genus", "genus", "Lithobates"), maybe, maybe},
		{"Lithobates sylvaticus", animal("scientificName", "Lithobates", "identificationQualifier", "cf. sylvaticus", "genus", "Lithobates"), maybe, maybe},
		{"Lithobates sylvaticus", animal("scientificName", "Ranidae", "taxonRank", "family", "family", "Ranidae"), maybe, maybe},
		{"Lithobates sylvaticus", animal("scientificName", "Anura", "taxonRank", "order"), maybe, maybe},
		{"Lithobates sylvaticus", animal("scientificName", "Anaxyrus", "taxonRank", "genus", "genus", "Anaxyrus"), maybe, maybe},
		{"Lithobates sylvaticus", animal("scientificName", "Bufonidae", "taxonRank", "family", "family", "Bufonidae"), maybe, maybe},
		{"Lithobates sylvaticus", animal("scientificName", "Lithobates silvaticus", "specificEpithet", "silvaticus"), maybe, maybe},
		{"Anaxyrus americanus", animal("scientificName", "Bufo amercanus"), maybe, maybe},
		{"Anaxyrus americanus", animal("scientificName", "Anaxyrus amer"), maybe, maybe},
		{"Anaxyrus americanus", animal("verbatimIdentification", "See notes"), maybe, maybe},
		{"Anaxyrus americanus", animal("scientificName", "Lithobates pipiens", "vernacularName", "American toad"), sure, maybe},
		{"Anaxyrus americanus", animal("scientificName", "Lithobates pipiens", "genus", "Anaxyrus"), maybe, maybe},
		{"Anaxyrus americanus", animal("scientificName", "Lithobates pipiens", "identificationQualifier", "?"), maybe, maybe},
		{"Lithobates pipiens brachycephalus", animal("scientificName", "Lithobates pipiens"), maybe, maybe},
		{"Lithobates sylvaticus", animal("scientificName", "Lithobates palustris", "specificEpithet", "palustris"), maybe, maybe},
		{"Lithobates sylvaticus", animal(), maybe, maybe},
		{"Lithobates sylvaticus", animal("scientificName", "Lithobates pipiens", "specificEpithet", "pipiens", "previousIdentifications", "Lithobates sylvaticus (Varga 2023)"), sure, sure},
		{"Lithobates sylvaticus", animal("scientificName", "Lithobates pipiens", "specificEpithet", "pipiens", "previousIdentifications", "Anaxyrus americanus"), other, maybe},
		{"Lithobates sylvaticus", animal("scientificName", "Lithobates pipiens", "specificEpithet", "pipiens", "verbatimIdentification", "Rana sylvatica"), sure, maybe},
	}
	for _, tt := range tests {
		withList, bare := newTaxon(&Rule{Taxon: tt.taxon}, &Settings{Lookup: lookup}), newTaxon(&Rule{Taxon: tt.taxon}, &Settings{})
		if got := withList.judge(tt.capture, speciesOf(tt.capture, lookup), lookup); got != tt.with {
			t.Errorf("%s, %+v: %d with a checklist, want %d", tt.taxon, tt.capture.Values, got, tt.with)
		}
		if got := bare.judge(tt.capture, nil, nil); got != tt.without {
			t.Errorf("%s, %+v: %d without a checklist, want %d", tt.taxon, tt.capture.Values, got, tt.without)
		}
	}
}

func TestPlain(t *testing.T) {
	for text, want := range map[string]bool{
		"57.5": true, "57,5 mm": true, "c. 40 g": true, "ca 40": true, "3 5/16 in": true, `1'11"`: true, "57.5mm?": true, "2O.6": true,
		"B1": true, "n/a": true, "": true, "-999": true, "57 / 19 g": true,
		"57.5 (Tern Slough)": false, "see book": false, "57.5 LBP": false, "escaped at the pond": false, "blue bag": false,
	} {
		if got := plain(text); got != want {
			t.Errorf("plain(%q) = %v", text, got)
		}
	}
}

// The published uncertainty covers the place, and does not tell one site of a
// cell from another.
func TestGeneraliseTellsNothingOfTheSite(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 8))
	for range 2000 {
		grid := []float64{0.001, 0.01, 0.1, 1}[rnd.IntN(4)]
		p := place.Point{Latitude: rnd.Float64()*170 - 85, Longitude: rnd.Float64()*360 - 180, LatText: "x", LonText: "x", Uncertainty: rnd.Float64() * 500}
		g := generalise(p, grid)
		lat, _ := strconv.ParseFloat(g.LatText, 64)
		lon, _ := strconv.ParseFloat(g.LonText, 64)
		if d := place.Distance(p.Latitude, p.Longitude, lat, lon) + p.Uncertainty; d > g.Uncertainty+1e-6 {
			t.Fatalf("%+v on %g: %g m may be off, published %g m", p, grid, d, g.Uncertainty)
		}
		other := p
		other.Uncertainty = p.Uncertainty / 2
		if a, b := generalise(p, 0.1), generalise(other, 0.1); a != b {
			t.Fatalf("%g m and %g m give %+v and %+v", p.Uncertainty, other.Uncertainty, a, b)
		}
	}
	if g := generalise(place.Point{LatText: "1", LonText: "1"}, 0); g.LatText != "" {
		t.Errorf("%+v", g)
	}
}

// pond is a table with two captures at Heron Bluff, the first of a sensitive
// frog, and one with the same number in another place.
func pond() ([]*record.Capture, []*record.Table) {
	term := func(name string) record.Meaning { return record.Meaning{Role: record.Term, Term: name} }
	t := &record.Table{File: "frogs.csv", Index: 1, Columns: []record.Column{
		{Heading: "Place", Number: 1, Meaning: term("locality")}, {Heading: "No", Number: 2, Meaning: term("recordNumber")},
		{Heading: "Sex", Number: 3, Meaning: term("sex")}, {Heading: "SVL", Number: 4, Meaning: record.Meaning{Role: record.Measurement, Measurement: "snoutVentLength"}},
		{Heading: "Label", Number: 5}},
		Labels: []record.Label{{Cell: record.Cell{Text: "Heron Bluff 2024", Row: 1, Column: 1}}}}
	var captures []*record.Capture
	for i, r := range [][]string{
		{"Heron Bluff", "1", "x", "51.2", "HB-1"},
		{"Tern Slough", "2", "x", "66.0", "TS-2"},
		{"Heron Bluff", "3", "x", "50.1 by the bluff", "HB-3"},
	} {
		row := record.TableRow{Number: i + 2}
		for k, text := range r {
			row.Cells = append(row.Cells, record.Cell{Text: text, Row: i + 2, Column: k + 1, Kind: record.Text, Beside: &record.Beside{Comment: "at " + r[0]}})
		}
		t.Rows = append(t.Rows, row)
		at := func(k int) record.Address { return t.Address(row.Cells[k]) }
		c := &record.Capture{File: "frogs.csv", Table: 1, Row: i + 2, Key: r[0] + " / " + r[1], Session: "2024-05-02 / " + r[0],
			Extras: []record.Extra{{Heading: "Label", Text: r[4], From: at(4)}}, Remarks: []string{"by the " + r[0]},
			Readings: []record.Reading{record.Reading{Series: &record.Series{Measurement: "snoutVentLength"}, Verbatim: r[3], Rare: &record.Rare{Remark: "note: " + r[0]}}.At(at(3))}}
		c.Set(record.Value{Field: record.Of("locality"), Text: r[0], Verbatim: r[0]}.At(at(0)))
		c.Set(record.Value{Field: record.Of("recordNumber"), Text: r[1], Verbatim: r[1]}.At(at(1)))
		c.Set(record.Value{Field: record.Of("sex"), Verbatim: r[2]}.At(at(2)))
		c.Set(record.Value{Field: record.Of("eventDate"), Text: "2024-05-02", Verbatim: "2 May at " + r[0]}.At(at(1)))
		c.Set(record.Value{Field: record.Of("organismID"), Text: "F7"}.At(at(1)))
		c.Set(record.Value{Field: record.Of("county"), Text: "Lanark"})
		c.Set(record.Value{Field: record.Of("decimalLatitude"), Text: "45.51237"})
		c.Set(record.Value{Field: record.Of("decimalLongitude"), Text: "-76.30418"})
		name := []string{"Lithobates sylvaticus", "Lithobates pipiens", "Lithobates sylvaticus"}[i]
		c.Set(record.Value{Field: record.Of("scientificName"), Text: name, Verbatim: name})
		captures = append(captures, c)
	}
	captures[1].Set(record.Value{Field: record.Of("decimalLatitude"), Text: "45.4181"})
	captures[1].Set(record.Value{Field: record.Of("decimalLongitude"), Text: "-76.1969"})
	return captures, []*record.Table{t}
}

func settings() Settings {
	return Settings{File: "sensitive.csv", Rules: []Rule{{Line: 2, Taxon: "Lithobates sylvaticus", Grid: 0.1, Reason: "trade"}}, Lookup: lookup,
		Key:     func(*record.Capture) []string { return []string{"locality", "recordNumber"} },
		Session: func(*record.Capture) []string { return []string{"eventDate", "locality"} }}
}

func TestHide(t *testing.T) {
	captures, tables := pond()
	at := func(row, column int) record.Address {
		return record.Address{File: "frogs.csv", Row: row, Column: column}
	}
	word := record.Finding{Rule: "word-unknown", Level: record.Warning, At: at(2, 3), Also: []record.Address{at(3, 3), at(4, 3)},
		Capture: "Heron Bluff / 1", Field: "sex", Value: "x", Spread: record.Each, Reason: `"x" is not known; 3 cells in all`}
	r, err := Hide(captures, tables, []record.Finding{
		word,
		{Rule: "site-unknown", At: at(2, 1), Capture: "Heron Bluff / 1", Field: "locality", Value: "Heron Bluff", Reason: `"Heron Bluff" is not a site`, Suggestion: "Heron Hill"},
		{Rule: "site-unknown", At: at(3, 1), Capture: "Tern Slough / 2", Field: "locality", Value: "Tern Slough", Reason: `"Tern Slough" is not a site`},
		{Rule: "tare-unlike-session", At: at(2, 4), Capture: "Heron Bluff / 1", Field: "snoutVentLength", Value: "51.2", Reason: "unlike", Group: "tares of session 2024-05-02 / Heron Bluff"},
		{Rule: "number-unread", At: at(4, 4), Capture: "Heron Bluff / 3", Field: "snoutVentLength", Value: "50.1 by the bluff", Reason: `"50.1 by the bluff" is not a number`},
		{Rule: "row-left-out", At: at(9, 1), Value: "trailing text", Reason: "a row below the table was left out"},
		{Rule: "odd", At: at(3, 4), Capture: "Tern Slough / 2", Field: "snoutVentLength", Value: "66.0", Reason: "unlike the frog of Heron Bluff"},
	}, settings())
	if err != nil || len(r.Hidden) != 2 {
		t.Fatalf("%+v, %v", r, err)
	}
	text := func(v any) string { return strings.ToLower(fmt.Sprintf("%+v", v)) }
	for i, c := range captures {
		shown := text(*c)
		for _, secret := range []string{"heron", "bluff", "hb-", "45.512"} {
			if strings.Contains(shown, secret) {
				t.Errorf("capture %d tells %s: %s", i, secret, shown)
			}
		}
	}
	for _, f := range r.Findings {
		if shown := text(f); strings.Contains(shown, "heron") || strings.Contains(shown, "bluff") || strings.Contains(shown, "trailing") {
			t.Errorf("%s", shown)
		}
	}
	if shown := text(*tables[0]); strings.Contains(shown, "heron") || strings.Contains(shown, "hb-") || !strings.Contains(shown, "tern slough") {
		t.Errorf("the table is %s", shown)
	}
	if got := captures[1]; got.Get("locality") != "Tern Slough" || got.Get("decimalLatitude") != "45.4181" || got.Get("organismID") != "F7" || len(got.Extras) != 1 {
		t.Errorf("the public capture became %+v", got)
	}
	h := captures[0]
	for _, v := range [][2]string{{"locality", "Lanark"}, {"decimalLatitude", "45.55"}, {"decimalLongitude", "-76.35"}, {"recordNumber", "1"}, {"eventDate", "2024-05-02"}, {"organismID", ""}} {
		if h.Get(v[0]) != v[1] {
			t.Errorf("%s is %q, want %q", v[0], h.Get(v[0]), v[1])
		}
	}
	if h.Key != "withheld / 1" || h.Session != "2024-05-02 / Lanark / 45.55 / -76.35 / place withheld" || captures[2].Session != h.Session {
		t.Errorf("key %q, session %q", h.Key, h.Session)
	}
	if h.Readings[0].Verbatim != "51.2" || h.Readings[0].Remark() != "" || captures[2].Readings[0].Verbatim != "" {
		t.Errorf("%+v, %+v", h.Readings, captures[2].Readings)
	}
	if f := r.Findings[0]; f.At != at(3, 3) || len(f.Also) != 0 || f.Value != "x" || f.Reason != `"x" is not known` {
		t.Errorf("the shown part of the finding is %+v", f)
	}
	if f := r.Findings[1]; f.At != at(2, 3) || len(f.Also) != 1 || f.Capture != "withheld / 1" {
		t.Errorf("the hidden part of the finding is %+v", f)
	}
	if w := valueIn(r.Hidden[0].Values, "locality"); w != "Heron Bluff" || valueIn(r.Hidden[0].Values, "Label") != "HB-1" || r.Hidden[0].Key != "Heron Bluff / 1" {
		t.Errorf("what was withheld: %+v", r.Hidden[0])
	}
	if len(r.Notes) != 1 || r.Notes[0].Rule != "place-withheld" {
		t.Errorf("%+v", r.Notes)
	}
	if !r.Veils(at(2, 1)) || r.Veils(at(2, 4)) || r.Veils(at(3, 1)) || r.Veiled(at(2, 4), "51.2") != "51.2" || r.Veiled(at(2, 5), "HB-1") != Veil || r.KeyAt(at(2, 4)) != "withheld / 1" {
		t.Error("cells are veiled wrongly")
	}
}

func TestHideWithoutCoordinatesAndWithTheSurveysWording(t *testing.T) {
	captures, tables := pond()
	s := settings()
	s.Rules = []Rule{{Taxon: "Lithobates", Grid: 0.01, Reason: "x"}, {Taxon: "Lithobates sylvaticus", Reason: "trade", Locality: "hills of Lanark", Keep: []string{"habitat"}}}
	captures[0].Set(record.Value{Field: record.Of("habitat"), Text: "spring"})
	captures[2].Set(record.Value{Field: record.Of("habitat"), Text: "spring at Heron Bluff"})
	if _, err := Hide(captures, tables, nil, s); err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct{ lat, locality, habitat string }{{"", "hills of Lanark", "spring"}, {"45.415", "Lanark", ""}, {"", "hills of Lanark", ""}} {
		c := captures[i]
		if c.Get("decimalLatitude") != want.lat || c.Get("locality") != want.locality || c.Get("habitat") != want.habitat || !strings.Contains(c.Get("informationWithheld"), "withheld") {
			t.Errorf("capture %d: %+v", i, c.Values)
		}
	}
}

func TestGuard(t *testing.T) {
	captures, tables := pond()
	captures[0].Set(record.Value{Field: record.Of("locality"), Text: "St John's Ditch", Verbatim: "St John's Ditch"})
	r, err := Hide(captures, tables, nil, settings())
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		file, text string
		tells      bool
	}{
		{"x.csv", "a,45.51237,-76.30418,b", true},
		{"x.csv", "a,45.5124,b,c,-76.3042", true},
		{"x.json", "{\"lat\": 45.5124,\n \"lon\": -76.3042}", true},
		{"x.csv", strings.Repeat("1 ", 5000) + "45.5124\n-76.3042" + strings.Repeat(" 2", 5000), true},
		{"x.csv", "HERON   bluff", true},
		{"x.csv", `"Heron-Bluff"`, true},
		{"x.html", "St John&#39;s Ditch", true},
		{"x.csv", "45.5124", false},
		{"x.csv", "45.5124 " + strings.Repeat("x ", 20) + "-76.3042", false},
		{"x.csv", "45.55,-76.35", false},
		{"x.csv", "Tern Slough,45.4181,-76.1969", false},
		{"x.csv", "heron", false},
		{"x.csv", "", false},
	} {
		got, err := r.Guard.Scan(tt.file, strings.NewReader(tt.text))
		if err != nil || (len(got) > 0) != tt.tells {
			t.Errorf("%s %.60q: %d captures, %v", tt.file, tt.text, len(got), err)
		}
	}
	var none *Guard
	if got, err := none.Scan("x", strings.NewReader("Heron Bluff")); len(got) != 0 || err != nil {
		t.Error(got, err)
	}
}

// A place where other animals are published too is not a secret by itself.
func TestGuardLetsPublicPlacesPass(t *testing.T) {
	captures, tables := pond()
	captures[1].Set(record.Value{Field: record.Of("locality"), Text: "Heron Bluff", Verbatim: "Heron Bluff"}.At(record.Address{File: "frogs.csv", Row: 3, Column: 1}))
	r, err := Hide(captures, tables, nil, settings())
	if err != nil {
		t.Fatal(err)
	}
	if got, _ := r.Guard.Scan("x.csv", strings.NewReader("Heron Bluff")); len(got) > 0 {
		t.Error("a public name is refused")
	}
	if got, _ := r.Guard.Scan("x.csv", strings.NewReader("45.51237,-76.30418")); len(got) == 0 {
		t.Error("coordinates of the hidden capture are let through")
	}
}

func TestTokens(t *testing.T) {
	for text, want := range map[string]string{
		"Étang  d'Aulnes": "etang d aulnes", "TS-014": "ts 014", "TS014": "ts 014", "45°30'44.5\"N": "45 30 44 5 n", "": "",
	} {
		if got := tokens(text).String(); got != want {
			t.Errorf("tokens(%q) = %q, want %q", text, got, want)
		}
	}
	if got := roundings("-76.304182"); !slices.EqualFunc(got, []string{"76 304182", "76 30418", "76 3042"}, func(p phrase, s string) bool { return p.String() == s }) {
		t.Errorf("%v", got)
	}
}
