package mapping

import (
	"testing"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/record"
)

// BenchmarkApply gives the columns of one table their meanings, which a survey
// of many tabs asks for once each.
func BenchmarkApply(b *testing.B) {
	doc, err := config.Parse("m.yaml", []byte(small))
	if err != nil {
		b.Fatal(err)
	}
	known := knownHere()
	m, err := Parse(doc, known)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Apply(m, table("field_no", "SVL (mm)", "Tib 1", "Tib 2", "Gross [g]", "typist", "Notes", "Remarks", "Sex"), known); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkParse reads a mapping, against its schema too.
func BenchmarkParse(b *testing.B) {
	known := knownHere()
	b.ReportAllocs()
	for b.Loop() {
		doc, err := config.Parse("m.yaml", []byte(small))
		if err == nil {
			_, err = Parse(doc, known)
		}
		if err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkGuess proposes meanings for a sheet that nobody has mapped.
func BenchmarkGuess(b *testing.B) {
	t := sheet(sheets[0].columns, 200, false)
	b.ReportAllocs()
	for b.Loop() {
		Guess([]record.Table{t}, repeatableTerms)
	}
}
