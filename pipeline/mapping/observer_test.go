package mapping_test

import (
	"testing"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/record"
)

func TestObserverOfAColumn(t *testing.T) {
	doc, err := config.Parse("m.yaml", []byte(`headings:
  - {pattern: 'SVL (?P<observer>[A-Z]+) ?(?P<replicate>\d)?', measurement: snoutVentLength, words: {IV: I. Varga}}
  - {heading: Eye TO, measurement: eyeDiameter, observer: T. Okafor}
  - {pattern: 'Note (?P<observer>[A-Z]+)', term: occurrenceRemarks}
`))
	if err != nil {
		t.Fatal(err)
	}
	m, err := mapping.Parse(doc, mapping.Known{})
	if err != nil {
		t.Fatal(err)
	}
	table := &record.Table{File: "frogs.csv"}
	for i, h := range []string{"SVL IV", "SVL TO 1", "SVL TO 2", "Eye TO", "Note IV"} {
		table.Columns = append(table.Columns, record.Column{Heading: h, Number: i + 1})
	}
	if _, err := mapping.Apply(m, table, mapping.Known{}); err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct {
		observer  string
		replicate int
	}{{"I. Varga", 0}, {"TO", 1}, {"TO", 2}, {"T. Okafor", 0}, {"", 0}} {
		if got := table.Columns[i].Meaning; got.Observer != want.observer || got.Replicate != want.replicate {
			t.Errorf("%s: %+v", table.Columns[i].Heading, got)
		}
	}
	doc, err = config.Parse("m.yaml", []byte("headings:\n  - {heading: Sex, term: sex, observer: I. Varga}\n"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := mapping.Parse(doc, mapping.Known{}); err == nil {
		t.Error("an observer of a term was taken")
	}
}
