package report

import (
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

func TestSay(t *testing.T) {
	some := []record.Figure{{Name: "n", Value: 1}}
	for _, c := range []struct {
		reason  string
		figures []record.Figure
		want    ReasonParts
	}{
		{"tibia length 73.9 mm is too large: 33.8 robust standard deviations off the line. The other measurements predict 37.7 mm (36.3 mm to 39.2 mm). 37,9 mm brings it back: two digits were exchanged.", some,
			ReasonParts{"Tibia length 73.9 mm is too large.", "The other measurements predict 37.7 mm (36.3 mm to 39.2 mm). 37,9 mm brings it back: two digits were exchanged.", "33.8 robust standard deviations off the line."}},
		{"the bag was not weighed, so the mass is that of animal and bag", nil, ReasonParts{Lead: "The bag was not weighed, so the mass is that of animal and bag."}},
		{"no figures: the colon stays", nil, ReasonParts{Lead: "No figures: the colon stays."}},
		{`"see book. 12" cannot be read`, nil, ReasonParts{Lead: `"see book. 12" cannot be read.`}},
		{"L. sylvatica is not in the checklist; cf. L. sylvaticus. Look it up", nil, ReasonParts{Lead: "L. sylvatica is not in the checklist; cf. L. sylvaticus.", Rest: "Look it up."}},
		{"the tare 6.5 g is not less than the gross mass 5.0 g. 45,0 g leaves 38.5 g, which fits: one digit was left out", nil,
			ReasonParts{Lead: "The tare 6.5 g is not less than the gross mass 5.0 g.", Rest: "45,0 g leaves 38.5 g, which fits: one digit was left out."}},
		{"mark 5 L. sylvatica was lost", nil, ReasonParts{Lead: "Mark 5 L. sylvatica was lost."}},
		{"is it so?", nil, ReasonParts{Lead: "Is it so?"}},
		{"(see p. 4. and 5) is open", nil, ReasonParts{Lead: "(see p. 4. and 5) is open."}},
		{"", some, ReasonParts{}},
	} {
		if got := SplitReason(record.Finding{Reason: c.reason, Figures: c.figures}); got != c.want {
			t.Errorf("%q:\n got %q\nwant %q", c.reason, got, c.want)
		}
	}
}

// Nothing of a reason is lost when it is taken apart.
func FuzzSentences(f *testing.F) {
	for _, s := range []string{"one. two", "a: b. \"c. d\" e.", "ß. É", ". .", "(. ) x. y"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		whole := strings.TrimSpace(text)
		joined := strings.Join(sentences(text), " ")
		if squeeze(strings.TrimSuffix(joined, ".")) != squeeze(strings.TrimSuffix(whole, ".")) {
			t.Errorf("%q became %q", text, joined)
		}
	})
}

// squeeze leaves white space out.
func squeeze(s string) string { return strings.Join(strings.Fields(s), "") }

func cell(row, column int) record.Address {
	return record.Address{File: "a.csv", Row: row, Column: column}
}

func TestCauses(t *testing.T) {
	var captures []*record.Capture
	for row := 2; row <= 6; row++ {
		c := &record.Capture{Key: string(rune('A' + row - 2)), File: "a.csv", Row: row}
		for column := 1; column <= 4; column++ {
			c.Extras = append(c.Extras, record.Extra{From: cell(row, column)})
		}
		captures = append(captures, c)
	}
	bag := record.Address{File: "bags.csv", Row: 3, Column: 2}
	f := func(rule, key string, at record.Address, value, reason string, also ...record.Address) record.Finding {
		return record.Finding{Rule: rule, Level: record.Error, Capture: key, At: at, Value: value, Reason: reason, Also: also}
	}
	g := NewGatherer(Asked{})
	g.Add(captures, nil)
	for _, c := range []struct {
		name     string
		findings []record.Finding
		want     int
	}{
		{"same cell", []record.Finding{f("over", "A", cell(2, 3), "9", "x"), f("far", "A", cell(2, 3), "9", "y")}, 1},
		{"cell among the others", []record.Finding{f("far", "A", cell(2, 3), "9", "x"), f("bag", "A", cell(2, 4), "1", "y", cell(2, 3))}, 1},
		{"different cells of a row", []record.Finding{f("far", "A", cell(2, 3), "9", "x"), f("far", "A", cell(2, 4), "1", "y")}, 2},
		{"the same word in many rows", []record.Finding{f("word", "A", cell(2, 2), "V", "unknown"), f("word", "B", cell(3, 2), "V", "unknown"), f("word", "C", cell(4, 2), "V", "unknown")}, 1},
		{"another word", []record.Finding{f("word", "A", cell(2, 2), "V", "V is unknown"), f("word", "B", cell(3, 2), "W", "W is unknown")}, 2},
		{"one bag, two captures", []record.Finding{f("far", "A", cell(2, 3), "9", "x", bag), f("far", "B", cell(3, 3), "8", "y", bag)}, 2},
		{"a consequence", []record.Finding{f("tare-missing", "A", cell(2, 3), "9", "x"), f("bag-unknown", "A", cell(2, 4), "B9", "y")}, 1},
		{"a consequence elsewhere", []record.Finding{f("tare-missing", "A", cell(2, 3), "9", "x"), f("bag-unknown", "B", cell(3, 4), "B9", "y")}, 2},
	} {
		var doubts []*record.Finding
		for i := range c.findings {
			doubts = append(doubts, &c.findings[i])
		}
		if got := causesOf(doubts, ownersOf(g.kept, doubts, g)); len(got) != c.want {
			t.Errorf("%s: %d causes, want %d: %v", c.name, len(got), c.want, got)
		}
	}
}

func TestOrderOfEntries(t *testing.T) {
	var captures []*record.Capture
	for row := 2; row <= 9; row++ {
		captures = append(captures, &record.Capture{Key: string(rune('A' + row)), File: "a.csv", Row: row, Extras: []record.Extra{{From: cell(row, 1)}}})
	}
	f := func(rule string, level record.Level, at record.Address, reason string) record.Finding {
		return record.Finding{Rule: rule, Level: level, At: at, Reason: reason}
	}
	g := NewGatherer(Asked{})
	g.Add(captures, []record.Finding{
		f("value-far", record.Note, cell(2, 1), "a note"),
		f("value-far", record.Warning, cell(2, 1), "a warning"),
		f("number-unread", record.Error, cell(3, 1), "left out"),
		f("value-far", record.Error, cell(4, 1), "published wrong"),
		f("number-unread", record.Error, cell(5, 1), "twice"), f("number-unread", record.Error, cell(6, 1), "twice"),
	})
	var got []string
	for i, e := range g.entries() {
		got = append(got, e.Findings[0].Reason)
		if e.No != i+1 {
			t.Errorf("entry %d has the number %d", i+1, e.No)
		}
	}
	if want := "twice, published wrong, left out, a warning"; strings.Join(got, ", ") != want {
		t.Errorf("got %v, want %s", got, want)
	}
}

func TestAround(t *testing.T) {
	var row []Neighbour
	for i := range 40 {
		row = append(row, Neighbour{Heading: string(rune('A' + i)), Doubtful: i == 20})
	}
	got := around(row)
	if len(got) > maxNeighbours || len(got) < maxNeighbours-2 || got[0].Heading != "A" || got[1].Heading != "B" {
		t.Errorf("%d cells: %v", len(got), got)
	}
	found := false
	for _, n := range got {
		found = found || n.Doubtful
	}
	if !found {
		t.Error("the doubtful cell is missing")
	}
}
