package mapping

import (
	"strings"
	"testing"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/record"
)

const draftText = `# A draft: look through every line, correct what is wrong, then delete the comments.
# Open questions, the most important first; spadefoot draft --ask puts them one by one:
#  1. Is "W" really the weighing's net in g? Values 3 to 50
#     change: - {heading: W, weighing: net, unit: g}
#  2. What is "Ped"? Values 1 to 9
#     change: - {heading: Ped, term: …}
name: pond
key: [] # recordNumber would name some captures alike; give the terms that name each one
weighing: {way: as-written, unit: g} # nothing says how the animals were weighed; if the scale was zeroed with the bag on, write zeroed
headings:
  - {heading: "No.", term: recordNumber} # 0.99: the heading is usual
  - {heading: W, also: [weight, "mass, g"], weighing: net, unit: g, decimal: ","} # 0.55: one of several
  #   or: {heading: W, measurement: width, unit: mm} # 0.20: a letter
  # Ped was not understood (the heading is not known); until it has a meaning its cells go to dynamicProperties
  - heading: Sex # as we say it
    term: sex # by hand
    words: {m: male}
  - {heading: Notes, term: occurrenceRemarks}   # ours
`

func TestAmendTouchesNothingElse(t *testing.T) {
	for _, c := range []struct {
		name string
		c    Change
		from []string // lines that go
		to   []string // lines that come
	}{
		{"another meaning", Change{Meanings: map[string]record.Meaning{"W": {Role: record.WeighPart, Part: record.Gross, Unit: "g", Instrument: "scale 100"}}},
			[]string{`  - {heading: W, also: [weight, "mass, g"], weighing: net, unit: g, decimal: ","} # 0.55: one of several`},
			[]string{`  - {heading: W, weighing: gross, unit: g, instrument: scale 100, also: [weight, "mass, g"], decimal: ","} # a person said so`}},
		{"a new entry", Change{Meanings: map[string]record.Meaning{"Ped": {Role: record.Measurement, Measurement: "footLength", Unit: "mm"}}},
			[]string{`  # Ped was not understood (the heading is not known); until it has a meaning its cells go to dynamicProperties`},
			[]string{`  - {heading: Ped, measurement: footLength, unit: mm} # a person said so`}},
		{"a heading that no line speaks of", Change{Meanings: map[string]record.Meaning{"Time: start": {Role: record.Term, Term: "eventTime"}}},
			nil, []string{`  - {heading: "Time: start", term: eventTime} # a person said so`}},
		{"left open", Change{Meanings: map[string]record.Meaning{"W": {}}},
			[]string{`  - {heading: W, also: [weight, "mass, g"], weighing: net, unit: g, decimal: ","} # 0.55: one of several`},
			[]string{`  # W was not understood (a person left it open); until it has a meaning its cells go to dynamicProperties`}},
		{"an entry over several lines", Change{Meanings: map[string]record.Meaning{"sex": {Role: record.Term, Term: "lifeStage"}}},
			[]string{`    term: sex # by hand`}, []string{`    term: lifeStage`, `    # by hand`}},
		{"a comment of a person", Change{Meanings: map[string]record.Meaning{"Notes": {Role: record.Term, Term: "fieldNotes"}}},
			[]string{`  - {heading: Notes, term: occurrenceRemarks}   # ours`}, []string{`  - {heading: Notes, term: fieldNotes}   # ours`}},
		{"the key", Change{Key: []string{"recordNumber", "eventDate"}},
			[]string{`key: [] # recordNumber would name some captures alike; give the terms that name each one`}, []string{`key: [recordNumber, eventDate] # a person said so`}},
		{"the way of weighing", Change{Way: record.NoTare},
			[]string{`weighing: {way: as-written, unit: g} # nothing says how the animals were weighed; if the scale was zeroed with the bag on, write zeroed`},
			[]string{`weighing: {way: no-tare, unit: g} # ` + wayReasons[record.NoTare]}},
		{"an answer", Change{Question: `What is "Ped"? Values 1 to 9.`, Answer: "leave it open"},
			[]string{`#  2. What is "Ped"? Values 1 to 9`, `#     change: - {heading: Ped, term: …}`}, []string{`# answered: What is "Ped"? Values 1 to 9 → leave it open`}},
		{"an answer to what the file does not ask", Change{Question: "Are they frogs?", Answer: "yes"},
			nil, []string{`# answered: Are they frogs? → yes`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			out, err := Amend([]byte(draftText), c.c)
			if err != nil {
				t.Fatal(err)
			}
			gone, come := differing(draftText, string(out)), differing(string(out), draftText)
			if strings.Join(gone, "\n") != strings.Join(c.from, "\n") || strings.Join(come, "\n") != strings.Join(c.to, "\n") {
				t.Errorf("gone:\n%s\ncome:\n%s", strings.Join(gone, "\n"), strings.Join(come, "\n"))
			}
			doc, err := config.Parse("m.yaml", out)
			if err != nil {
				t.Fatal(err)
			}
			m, err := Parse(doc, Known{Instruments: []string{"scale 100"}})
			if err != nil {
				t.Fatal(err)
			}
			for heading, want := range c.c.Meanings {
				got, _, _ := m.find(heading, Known{})
				got.Vocabulary = nil // the words stay as they are
				if meaningYAML(got) != meaningYAML(want) {
					t.Errorf("%s means %s", heading, meaningYAML(got))
				}
			}
		})
	}
}

// differing are the lines of a that b has fewer of.
func differing(a, b string) (out []string) {
	left := map[string]int{}
	for _, l := range strings.Split(b, "\n") {
		left[l]++
	}
	for _, l := range strings.Split(a, "\n") {
		if left[l]--; left[l] < 0 {
			out = append(out, l)
		}
	}
	return out
}

func TestAmendWithinTheSurvey(t *testing.T) {
	text := "# ours\nsheets:\n  - file: a.csv\n    mapping:\n      headings:\n        - {heading: svl, measurement: snoutVentLength} # yes\n        - {heading: w, weighing: net}\n"
	out, err := Amend([]byte(text), Change{Meanings: map[string]record.Meaning{"w": {Role: record.Measurement, Measurement: "headWidth", Unit: "mm"}}}, "sheets", "0", "mapping")
	if err != nil {
		t.Fatal(err)
	}
	if want := strings.Replace(text, "weighing: net", "measurement: headWidth, unit: mm", 1); string(out) != want {
		t.Errorf("got\n%s", out)
	}
}

func TestAmendRefusesWhatItCannotKeep(t *testing.T) {
	for _, text := range []string{
		"headings: [{heading: svl, measurement: snoutVentLength}]\n",
		"name: nothing\n",
		"headings:\n  - term: sex\n    heading: svl\n",
	} {
		if out, err := Amend([]byte(text), Change{Meanings: map[string]record.Meaning{"svl": {Role: record.Term, Term: "sex"}}}); err == nil {
			t.Errorf("%q became %q", text, out)
		}
	}
}

func FuzzAmend(f *testing.F) {
	f.Add(draftText, "W")
	f.Add("headings:\n- {heading: 'it''s', term: sex}\n", "it's")
	f.Add("headings:\n- {heading: é, # one\n  term: sex}\n", "é")
	f.Fuzz(func(t *testing.T, text, heading string) {
		if Fold(heading) == "" {
			return
		}
		m := record.Meaning{Role: record.Term, Term: "lifeStage"}
		out, err := Amend([]byte(text), Change{Meanings: map[string]record.Meaning{heading: m}, Question: "What?", Answer: "That"})
		if err != nil {
			return
		}
		root, err := nodeAt(out, nil)
		if err != nil {
			t.Fatalf("unreadable: %v\n%s", err, out)
		}
		for _, e := range config.Value(root, "headings").Content {
			if names(e, heading) && config.Value(e, "term") != nil && config.Value(e, "term").Value == "lifeStage" {
				return
			}
		}
		t.Errorf("%q has not the meaning in\n%s", heading, out)
	})
}
