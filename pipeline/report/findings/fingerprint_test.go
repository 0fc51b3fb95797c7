package findings

import (
	"math/rand/v2"
	"regexp"
	"slices"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/schemas"
)

func cellAt(file, sheet string, row, column int) record.Address {
	return record.Address{File: file, Sheet: sheet, Row: row, Column: column}
}

func printsOf(fs []record.Finding, captures []*record.Capture) []string {
	var out []string
	for _, id := range Identify(fs, captures) {
		out = append(out, id.Fingerprint())
	}
	slices.Sort(out)
	return out
}

// Each case is one finding in two writings, and whether it is the same.
func TestTheSameFinding(t *testing.T) {
	far := record.Finding{Rule: "value-far", Level: record.Warning, At: cellAt("frogs.csv", "", 7, 4), Capture: "MC-7", Field: "tibiaLength", Value: "73.9", Reason: "too large", Group: "Rana, n = 12"}
	change := func(f record.Finding, by func(*record.Finding)) record.Finding {
		by(&f)
		return f
	}
	word := record.Finding{Rule: "word-unknown", Level: record.Warning, At: cellAt("frogs.csv", "", 7, 4), Capture: "MC-7", Field: "sex", Value: "q"}
	slip := record.Finding{Rule: "column-slip", Level: record.Error, At: cellAt("frogs.csv", "", 7, 4), Capture: "MC-7", Field: "bodyMass", Value: "1.2", Group: "the captures of the sheet frogs.csv, n = 40"}
	heading := record.Finding{Rule: "heading-unmatched", Level: record.Warning, At: cellAt("frogs.csv", "", 1, 9), Field: "Mood", Value: "Mood"}
	for _, c := range []struct {
		name string
		a, b record.Finding
		same bool
	}{
		{"other row", far, change(far, func(f *record.Finding) { f.At.Row = 90 }), true},
		{"other column", far, change(far, func(f *record.Finding) { f.At.Column = 2 }), true},
		{"other kind of file", far, change(far, func(f *record.Finding) { f.At = cellAt("frogs.xlsx", "Sheet1", 7, 4) }), true},
		{"other statistics", far, change(far, func(f *record.Finding) { f.Reason, f.Group = "far too large", "Rana, n = 14" }), true},
		{"heavier", far, change(far, func(f *record.Finding) { f.Level = record.Error }), true},
		{"decimal comma", far, change(far, func(f *record.Finding) { f.Value = "73,90 " }), true},
		{"other value", far, change(far, func(f *record.Finding) { f.Value = "739" }), false},
		{"other capture", far, change(far, func(f *record.Finding) { f.Capture = "MC-8" }), false},
		{"other field", far, change(far, func(f *record.Finding) { f.Field = "headWidth" }), false},
		{"other rule", far, change(far, func(f *record.Finding) { f.Rule = "value-off-line" }), false},
		{"a word in an earlier cell too", word, change(word, func(f *record.Finding) { f.Capture, f.Also = "MC-2", []record.Address{f.At} }), true},
		{"another word", word, change(word, func(f *record.Finding) { f.Value = "qq" }), false},
		{"a slip with another first cell", slip, change(slip, func(f *record.Finding) { f.Capture, f.Value = "MC-1", "1.4" }), true},
		{"a slip of a sheet saved anew", slip, change(slip, func(f *record.Finding) {
			f.At, f.Group = cellAt("frogs.xlsx", "Spring", 7, 4), "the captures of the sheet frogs.xlsx, tab Spring, n = 41"
		}), true},
		{"a slip of another sheet", slip, change(slip, func(f *record.Finding) { f.Group = "the captures of the sheet toads.csv, n = 40" }), false},
		{"a heading moved", heading, change(heading, func(f *record.Finding) { f.At = cellAt("frogs.xlsx", "Sheet1", 3, 2) }), true},
		{"another heading", heading, change(heading, func(f *record.Finding) { f.Field, f.Value = "Sky", "Sky" }), false},
	} {
		t.Run(c.name, func(t *testing.T) {
			a, b := Identify([]record.Finding{c.a}, nil)[0], Identify([]record.Finding{c.b}, nil)[0]
			if (a.Fingerprint() == b.Fingerprint()) != c.same {
				t.Errorf("%+v and %+v: want the same: %v", a, b, c.same)
			}
		})
	}
}

// Findings that are alike in all parts keep different fingerprints, and the set
// of them does not hang on their order.
func TestFingerprintsAreASet(t *testing.T) {
	var fs []record.Finding
	for i := range 40 {
		fs = append(fs, record.Finding{Rule: []string{"value-far", "key-missing"}[i%2], Level: record.Level(1 + i%3),
			At: cellAt("frogs.csv", "", i+2, i%3), Capture: []string{"", "MC-1", "MC-2"}[i%3], Value: []string{"61", "61.0", "58"}[i%3]})
	}
	want := printsOf(fs, nil)
	if n := len(slices.Compact(slices.Clone(want))); n != len(fs) {
		t.Errorf("%d fingerprints of %d findings", n, len(fs))
	}
	level := func(fs []record.Finding) map[string]record.Level {
		out := map[string]record.Level{}
		for i, id := range Identify(fs, nil) {
			out[id.Fingerprint()] = fs[i].Level
		}
		return out
	}
	levels := level(fs)
	r := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		r.Shuffle(len(fs), func(i, j int) { fs[i], fs[j] = fs[j], fs[i] })
		if got := printsOf(fs, nil); !slices.Equal(got, want) {
			t.Fatal("another order gave other fingerprints")
		}
		for p, l := range level(fs) {
			if levels[p] != l {
				t.Fatal("another order gave a fingerprint to a finding of another level")
			}
		}
	}
}

// A capture without a key is known by its contents, not by its row.
func TestCapturesWithoutAKey(t *testing.T) {
	capture := func(row int, svl string) *record.Capture {
		a := record.Address{File: "frogs.csv", Row: row}
		return &record.Capture{Key: "(" + a.String() + ")", File: "frogs.csv", Row: row,
			Values:   []record.Value{record.Value{Field: record.Of("scientificName"), Text: "Rana temporaria"}.At(cellAt("frogs.csv", "", row, 2))},
			Readings: []record.Reading{record.Reading{Series: &record.Series{Measurement: "snoutVentLength", Unit: "mm"}, Text: svl, Verbatim: svl}.At(cellAt("frogs.csv", "", row, 3))}}
	}
	finding := func(c *record.Capture) record.Finding {
		return record.Finding{Rule: "key-missing", Level: record.Error, At: cellAt("frogs.csv", "", c.Row, 1), Capture: c.Key, Field: "key"}
	}
	one := func(c *record.Capture) string { return printsOf([]record.Finding{finding(c)}, []*record.Capture{c})[0] }
	if one(capture(3, "61")) != one(capture(9, "61")) {
		t.Error("the row changed the fingerprint")
	}
	if one(capture(3, "61")) == one(capture(3, "62")) {
		t.Error("the contents did not change the fingerprint")
	}
	// a finding on a cell of it that names no capture
	c := capture(3, "61")
	ids := Identify([]record.Finding{{Rule: "digits-lost", Level: record.Error, At: cellAt("frogs.csv", "", 3, 3), Value: "61"}}, []*record.Capture{c})
	if ids[0].Capture == "" || regexp.MustCompile(`frogs|3\)$`).MatchString(ids[0].Capture) {
		t.Errorf("the cell belongs to %q", ids[0].Capture)
	}
}

// The parts of an identity hold no address, whatever the finding says.
func TestNoAddressInAFingerprint(t *testing.T) {
	f := record.Finding{Rule: "animal-unusual", Level: record.Warning, At: cellAt("frogs.xlsx", "Spring", 3, 0), Capture: "(frogs.xlsx, tab Spring, row 3)"}
	if id := Identify([]record.Finding{f}, nil)[0]; id.Capture != "" {
		t.Errorf("%+v", id)
	}
}

func TestRulesWithAnIdentityOfTheirOwn(t *testing.T) {
	rules := schemas.RuleOf()
	for code := range aboutGroup {
		if _, ok := rules[code]; !ok {
			t.Errorf("%s is not a rule", code)
		}
	}
	rooms := map[string]bool{}
	for _, r := range rules {
		rooms[r.Stage] = true
	}
	for _, room := range wordRooms {
		if !rooms[room] {
			t.Errorf("%s is not a stage", room)
		}
	}
}

func TestPlainValue(t *testing.T) {
	for in, want := range map[string]string{
		"61": "61", " 61 ": "61", "61.0": "61", "61,50": "61.5", "-0,5": "-0.5", "5 1": "5 1", "1.2.3": "1.2.3",
		"": "", "61.": "61.", "two  words\nhere": "two words here", "007": "007",
	} {
		if got := plainValue(in); got != want {
			t.Errorf("%q: got %q, want %q", in, got, want)
		}
	}
}
