package pipeline

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"spadefoot/pipeline/draft"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
	"spadefoot/pipeline/survey"
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

// What is written many times over takes time in proportion to its length, or is
// refused with the budget and the key that raises it.
func TestManyTakeNoTime(t *testing.T) {
	const head, row = "Field No,Date,Species,Site,SVL\n", "F1,2023-05-01,Anaxyrus americanus,North pond,51\n"
	many := func(n int, format string) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, format, i)
		}
		return b.String()
	}
	for _, c := range []struct {
		name  string
		files map[string]string // beside or in place of the usual ones
		draft bool
		want  string // what the error holds, "" for none
	}{
		{name: "labels above a table", files: map[string]string{"frogs.csv": many(3000, "Label %[1]d: value %[1]d\n") + head + row},
			want: "frogs.csv: there are more than 2000 labels above a table or between its rows; if you trust the file, raise budgets.columns in survey.yaml or SPADEFOOT_BUDGETS_COLUMNS in the environment"},
		{name: "columns without a meaning", files: map[string]string{"frogs.csv": many(1900, "Column %04d,") + "Field No\n" + strings.Repeat(strings.Repeat("x,", 1900)+"F1\n", 60)}},
		{name: "lines of a table of sites", files: map[string]string{"frogs.csv": head + row, "survey.yaml": surveyOfFrogs + "tables: {sites: sites.csv}\n", "sites.csv": "site,latitude,longitude\n" + many(600_000, "S%d,52.1,1.2\n")},
			want: "sites.csv: the table has more than 500000 lines; if you trust the file, raise budgets.rows in survey.yaml or SPADEFOOT_BUDGETS_ROWS in the environment"},
		{name: "lines of a sheet", files: map[string]string{"frogs.csv": head + row + "F2,\"2023" + strings.Repeat("x\n", 2000), "survey.yaml": surveyOfFrogs + "budgets: {lines: 2000}\n"},
			want: "frogs.csv: more than 2000 lines are not blank; if you trust the file, raise budgets.lines in survey.yaml or SPADEFOOT_BUDGETS_LINES in the environment"},
		{name: "blank lines of a sheet", files: map[string]string{"frogs.csv": head + row + strings.Repeat("\r\n", 3000) + row, "survey.yaml": surveyOfFrogs + "budgets: {lines: 2000}\n"}},
		{name: "keys of survey.yaml", files: map[string]string{"frogs.csv": head + row, "survey.yaml": surveyOfFrogs + many(5000, "k%d: 1\n")}, want: "survey.yaml: and 4950 more mistakes"},
		{name: "columns of numbers", draft: true, files: map[string]string{"frogs.csv": many(1999, "c%d,") + "\n" + strings.Repeat(many(1999, "%d,")+"\n", need.Times(250, 1000))}},
	} {
		t.Run(c.name, func(t *testing.T) {
			folder := t.TempDir()
			for name, text := range map[string]string{"survey.yaml": surveyOfFrogs, "frogs.yaml": mappingOfFrogs} {
				if c.files[name] == "" {
					c.files[name] = text
				}
			}
			for name, text := range c.files {
				if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			ctx, stop := context.WithTimeout(t.Context(), time.Minute)
			defer stop()
			var err error
			if c.draft {
				_, err = draft.Write(ctx, []string{filepath.Join(folder, "frogs.csv")}, filepath.Join(folder, "draft"), draft.Options{})
			} else {
				_, err = Check(ctx, folder, Options{})
			}
			switch {
			case ctx.Err() != nil:
				t.Errorf("it took too long: %v", err)
			case err == nil && c.want != "", err != nil && (c.want == "" || !strings.Contains(err.Error(), c.want)):
				t.Errorf("got %v, want %q", err, c.want)
			}
		})
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

// The identifier of the millionth of equal captures takes no longer than that of
// the first.
func TestIdentifiersOfManyEqualCaptures(t *testing.T) {
	w := &walk{survey: &survey.Survey{}}
	c := &record.Capture{File: "frogs.csv", Row: 2, Key: "F1"}
	known := map[string]int{}
	began := time.Now()
	for _, nth := range []int{0, 1, 2, 3, 1 << 30, 1<<30 + 1} {
		id := w.identifierOf(c, nth)
		if other, twice := known[id]; twice {
			t.Errorf("number %d has the identifier of number %d", nth, other)
		}
		known[id] = nth
	}
	if took := time.Since(began); took > time.Second {
		t.Errorf("it took %v", took)
	}
}
