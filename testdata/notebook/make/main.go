// Command make writes the notebooks of Marrow Creek Field Station: three
// invented books of the 1980s and 90s as somebody typed them up, each in a
// layout and in a kind of file of its own. People, places and numbers are made
// up; the species are real. Run it from the module root:
//
//	go run ./testdata/notebook/make
//
// The workbooks are written as XLSX and converted by LibreOffice (soffice on
// the PATH) to XLS and ODS; what it writes is checked in, since its files carry
// the time of writing. Beside the sheets it writes truth.csv, what every
// heading means, and truth_captures.csv, what every capture is.
package main

import (
	"log"
	"math/rand/v2"
	"os"
	"path/filepath"

	"spadefoot/testdata/written"
)

const folder = "testdata/notebook"

func main() {
	rng := rand.New(rand.NewPCG(19870514, 3))
	t := truth{[][]string{{"file", "tab", "heading", "meaning", "unit"}}, [][]string{{"file", "tab", "number", "scientificName", "eventDate", "locality", "sex",
		"snoutVentLength", "tibiaLength", "bodyMass", "decimalLatitude", "decimalLongitude"}}}
	creek, tern := creekBook(rng, &t), ternBook(rng, &t)
	carnet := carnetText(rng, &t)
	for _, err := range []error{
		os.MkdirAll(filepath.Join(folder, "sheets"), 0o755),
		convert(creek, "creek-1987", "xls:MS Excel 97"),
		convert(tern, "tern-1992", "ods"),
		os.WriteFile(filepath.Join(folder, "sheets", "carnet-1994.csv"), carnet, 0o644),
		written.CSV(filepath.Join(folder, "truth.csv"), "", t.headings),
		written.CSV(filepath.Join(folder, "truth_captures.csv"), "", t.captures),
		formats(),
	} {
		if err != nil {
			log.Fatal(err)
		}
	}
}

// truth is what a person who knows the books would say of them, in tables below
// their headings.
type truth struct{ headings, captures [][]string }

// heading says what a heading means: the name of a term, of a measurement with
// its unit, or of a part of the weighing.
func (t *truth) heading(file, tab, heading, meaning, unit string) {
	t.headings = append(t.headings, []string{file, tab, heading, meaning, unit})
}
