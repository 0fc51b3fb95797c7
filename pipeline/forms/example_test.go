package forms_test

import (
	"fmt"
	"log"

	"spadefoot/pipeline/forms"
	"spadefoot/pipeline/record"
)

func ExampleNew() {
	f, err := forms.New(forms.Source{
		Name:     "pond sheet",
		Weighing: forms.Weighing{Way: record.SameRow, Unit: "g"},
		Entries: []forms.Entry{
			{Heading: "Frog no", Meaning: record.Meaning{Role: record.Term, Term: "recordNumber"}},
			{Heading: "SVL", Meaning: record.Meaning{Role: record.Measurement, Measurement: "snoutVentLength", Unit: "mm"}},
			{Heading: "Gross", Meaning: record.Meaning{Role: record.WeighPart, Part: record.Gross}},
			{Heading: "Bag", Meaning: record.Meaning{Role: record.WeighPart, Part: record.Tare}},
		},
		Replicates: 2,
	})
	if err != nil {
		log.Fatal(err)
	}
	m, err := f.Mapping()
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%s", m)
	// Output:
	// # The headings of the form and what they mean.
	// name: pond sheet
	// key: [recordNumber]
	// weighing: {way: same-row, unit: g}
	// headings:
	//   - {heading: Date, term: eventDate}
	//   - {heading: Site, term: locality}
	//   - {heading: Frog no, term: recordNumber}
	//   - {heading: SVL 1 (mm), measurement: snoutVentLength, unit: mm, replicate: 1}
	//   - {heading: SVL 2 (mm), measurement: snoutVentLength, unit: mm, replicate: 2}
	//   - {heading: Gross (g), weighing: gross, unit: g}
	//   - {heading: Bag (g), weighing: tare, unit: g}
}
