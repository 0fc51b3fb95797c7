package mapping

import (
	"errors"
	"strings"
	"testing"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

func parse(t *testing.T, text string) (*Mapping, error) {
	t.Helper()
	doc, err := config.Parse("m.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return Parse(doc, knownHere())
}

func knownHere() Known {
	yes := func(words ...string) func(string) (bool, string) {
		return func(w string) (bool, string) {
			for _, k := range words {
				if w == k {
					return true, ""
				}
			}
			return false, config.Nearest(w, words)
		}
	}
	return Known{
		Term: yes("recordNumber", "sex", "occurrenceRemarks"), Measurement: yes("snoutVentLength", "tibiaLength"), Unit: yes("mm", "cm", "g"),
		Instruments: []string{"caliper"}, Repeatable: func(term string) bool { return term == "occurrenceRemarks" },
		UnitOf: func(string) string { return "mm" }, HeadingParts: quantity.HeadingUnit,
	}
}

func table(headings ...string) *record.Table {
	t := &record.Table{File: "f.csv", HeadingRows: []int{1}}
	row := record.TableRow{Number: 2}
	for i, h := range headings {
		t.Columns = append(t.Columns, record.Column{Heading: h, Parts: []string{h}, Number: i + 1})
		row.Cells = append(row.Cells, record.Cell{Text: "1", Kind: record.Text, Row: 2, Column: i + 1})
	}
	t.Rows = []record.TableRow{row}
	return t
}

const small = `key: [recordNumber]
headings:
  - {heading: Field No, also: ["No."], term: recordNumber}
  - {heading: SVL, measurement: snoutVentLength, unit: mm, instrument: caliper}
  - {pattern: 'tib(?:ia)? ?(?P<replicate>[0-9])', measurement: tibiaLength}
  - {heading: Gross, weighing: gross}
  - {heading: Typist, aside: says nothing}
  - {heading: Notes, term: occurrenceRemarks}
  - {heading: Remarks, term: occurrenceRemarks}
  - {heading: Sex, term: sex}
`

func TestApply(t *testing.T) {
	m, err := parse(t, small)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		heading string
		want    record.Meaning
	}{
		{"field_no", record.Meaning{Role: record.Term, Term: "recordNumber"}},
		{"NO", record.Meaning{Role: record.Term, Term: "recordNumber"}},
		{"SVL (mm)", record.Meaning{Role: record.Measurement, Measurement: "snoutVentLength", Unit: "mm", Instrument: "caliper"}},
		{"Tib 2", record.Meaning{Role: record.Measurement, Measurement: "tibiaLength", Unit: "mm", Replicate: 2}},
		{"tibia3", record.Meaning{Role: record.Measurement, Measurement: "tibiaLength", Unit: "mm", Replicate: 3}},
		{"Gross [g]", record.Meaning{Role: record.WeighPart, Part: record.Gross, Unit: "g"}},
		{"typist", record.Meaning{Role: record.SetAside, Reason: "says nothing"}},
	} {
		tb := table(c.heading)
		if _, err := Apply(m, tb, knownHere()); err != nil {
			t.Fatal(err)
		}
		got := tb.Columns[0].Meaning
		got.Vocabulary = nil
		if got.Role != c.want.Role || got.Term != c.want.Term || got.Measurement != c.want.Measurement || got.Unit != c.want.Unit ||
			got.Replicate != c.want.Replicate || got.Part != c.want.Part || got.Reason != c.want.Reason || got.Instrument != c.want.Instrument {
			t.Errorf("%q: got %+v, want %+v", c.heading, got, c.want)
		}
	}
}

// A column without a heading that numbers the rows is worth a note; another one is a
// doubt.
func TestColumnWithoutAHeading(t *testing.T) {
	m, err := parse(t, small)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		texts []string
		level record.Level
	}{
		{[]string{"1", "2", "3", "4"}, record.Note},
		{[]string{"0", "1", "2", "0", "1"}, record.Note},
		{[]string{"0", "1", "3"}, record.Warning},
		{[]string{"1", "2"}, record.Warning},
		{[]string{"1", "2", "x"}, record.Warning},
	} {
		tb := table("", "Field No")
		tb.Rows = nil
		for i, text := range c.texts {
			tb.Rows = append(tb.Rows, record.TableRow{Number: i + 2, Cells: []record.Cell{{Row: i + 2, Column: 1, Kind: record.Text, Text: text}, {Row: i + 2, Column: 2}}})
		}
		fs, err := Apply(m, tb, knownHere())
		if err != nil || len(fs) != 1 || fs[0].Rule != "heading-unmatched" || fs[0].Level != c.level {
			t.Errorf("%q: %+v, %v", c.texts, fs, err)
		}
	}
}

func TestApplyUnmatchedAndClash(t *testing.T) {
	m, err := parse(t, small)
	if err != nil {
		t.Fatal(err)
	}
	fs, err := Apply(m, table("Field No", "Mood", "Notes", "Remarks"), knownHere())
	if err != nil || len(fs) != 1 || fs[0].Rule != "heading-unmatched" || fs[0].Field != "Mood" || fs[0].At.Column != 2 {
		t.Errorf("findings %+v, %v", fs, err)
	}
	one := knownHere()
	one.OneColumn = true
	_, err = Apply(m, table("Field No", "Sex", "sex"), one)
	var clash *Clash
	if !errors.As(err, &clash) || !strings.Contains(err.Error(), `column B ("Sex") and column C ("sex")`) {
		t.Errorf("got %v", err)
	}
	fs, err = Apply(m, table("Field No", "Sex", "sex"), knownHere())
	if err != nil || len(fs) != 1 || fs[0].Rule != "heading-shared" || fs[0].At.Column != 3 || fs[0].Also[0].Column != 2 {
		t.Errorf("two columns of one term: %+v, %v", fs, err)
	}
}

func TestParseMistakes(t *testing.T) {
	for _, c := range []struct{ name, from, to, says string }{
		{"two meanings", "weighing: gross", "weighing: gross, term: sex", "line 6, key headings.3: has 2 meanings"},
		{"no meaning", ", term: sex}", "}", "has 0 meanings"},
		{"unknown instrument", "instrument: caliper", "instrument: calliper", `did you mean "caliper"`},
		{"unknown unit", "unit: mm", "unit: mmm", `did you mean "mm"`},
		{"not a pattern", "[0-9]", "[0-9", "not a regular expression"},
		{"a heading twice", "{heading: Typist", "{heading: gross", `uses the heading "gross", which headings.3 (line 6) already uses`},
	} {
		_, err := parse(t, strings.Replace(small, c.from, c.to, 1))
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %v, want %q", c.name, err, c.says)
		}
	}
}

// A value beside the table fills only the blanks of the column that means the
// same, and keeps its own place.
func TestLabelsFillBlanks(t *testing.T) {
	m, err := parse(t, small)
	if err != nil {
		t.Fatal(err)
	}
	tb := table("Field No", "Sex")
	tb.Rows = append(tb.Rows, record.TableRow{Number: 3, Cells: []record.Cell{{Text: "2", Row: 3, Column: 1}, {Row: 3, Column: 2}}})
	tb.Labels = []record.Label{{Name: "Sex", Cell: record.Cell{Text: "F", Row: 1, Column: 5}}}
	if _, err := Apply(m, tb, knownHere()); err != nil {
		t.Fatal(err)
	}
	if a, b := tb.Rows[0].Cells[1], tb.Rows[1].Cells[1]; a.Text != "1" || b.Text != "F" || b.Row != 1 || b.Column != 5 {
		t.Errorf("got %+v and %+v", a, b)
	}
}

func TestFold(t *testing.T) {
	for in, want := range map[string]string{"Field No.": "field no", "field_no": "field no", "  SVL (mm) ": "svl mm", "m/f": "m f", "": ""} {
		if got := Fold(in); got != want {
			t.Errorf("Fold(%q) = %q, want %q", in, got, want)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add(small)
	f.Add("headings: [{pattern: '(', aside: x}]")
	f.Fuzz(func(t *testing.T, text string) {
		doc, err := config.Parse("f.yaml", []byte(text))
		if err != nil {
			return
		}
		m, err := Parse(doc, knownHere())
		if err != nil {
			_ = err.Error()
			return
		}
		_, _ = Apply(m, table("Field No", "SVL"), knownHere())
	})
}
