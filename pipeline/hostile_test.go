package pipeline

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A long text in any cell, or as a heading or a title, is read once and not
// again for each of its characters.
func TestLongTextsTakeNoTime(t *testing.T) {
	rows := func() [][]string {
		return [][]string{
			{"Field No", "Date", "Species", "Site", "SVL"},
			{"F1", "2023-05-01", "Anaxyrus americanus", "North pond", "51"},
			{"F2", "2023-05-02", "Anaxyrus americanus", "North pond", "52"},
		}
	}
	folder := t.TempDir()
	write := func(name, text string) {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write("survey.yaml", surveyOfFrogs)
	write("frogs.yaml", mappingOfFrogs)
	began := time.Now()
	for _, unit := range []string{"(", "1 ", "cf. "} {
		for column := range 5 {
			for row := range 2 {
				long := strings.Repeat(unit, 100_000/len(unit))
				table := rows()
				table[row][column] = long
				var text strings.Builder
				for _, r := range table {
					fmt.Fprintln(&text, strings.Join(r, ","))
				}
				write("frogs.csv", text.String())
				ctx, stop := context.WithTimeout(t.Context(), 20*time.Second)
				_, err := Check(ctx, folder, Options{})
				stop()
				if err != nil && ctx.Err() != nil {
					t.Fatalf("%q in row %d, column %d: %v after %v", unit, row+1, column+1, err, time.Since(began))
				}
			}
		}
	}
	if took := time.Since(began); took > 2*time.Minute { // 30 surveys, some 5 s
		t.Errorf("it took %v", took)
	}
}

const surveyOfFrogs = `dataset:
  id: https://marrow-creek.invalid/datasets/anurans
  title: Anurans of Marrow Creek
  description: Frogs and toads caught by hand.
  licence: https://creativecommons.org/licenses/by/4.0/legalcode
  creators: [{given: Ines, family: Varga}]
sheets:
  - {file: frogs.csv, mapping: frogs.yaml}
`

const mappingOfFrogs = `key: [recordNumber]
session: [eventDate, locality]
weighing: {way: as-written, unit: g}
headings:
  - {heading: Field No, term: recordNumber}
  - {heading: Date, term: eventDate}
  - {heading: Species, term: scientificName}
  - {heading: Site, term: locality}
  - {heading: SVL, measurement: snoutVentLength, unit: mm}
`
