package pipeline

import (
	"context"
	"encoding/csv"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

const keySurvey = `dataset: {id: "https://marrow-creek.invalid/keys", title: Toads, description: Toads of a ditch., licence: CC0 1.0, creators: [{family: Okafor, given: T.}]}
sheets:
  - file: toads.csv
    mapping:
      headings:
        - {heading: No, term: recordNumber}
        - {heading: Date, term: eventDate}
        - {heading: Species, term: scientificName}
        - {heading: SVL, measurement: snoutVentLength, unit: mm}
        - {heading: Gross, weighing: gross, unit: g}
        - {heading: Bag, weighing: tare, unit: g}
`

// toads makes rows of a sheet; what numbers them comes from a function.
func toads(n int, number func(i int) string) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = fmt.Sprintf("%s,2024-05-%02d,Anaxyrus americanus,%d.%d,%d.5,4.5\n", number(i), 1+i%28, 50+i%13, i%10, 20+i%17)
	}
	return out
}

func runToads(t *testing.T, rows []string, o Options) (string, []record.Finding) {
	t.Helper()
	folder, out := t.TempDir(), t.TempDir()
	for name, text := range map[string]string{"survey.yaml": keySurvey, "toads.csv": "No,Date,Species,SVL,Gross,Bag\n" + strings.Join(rows, "")} {
		writeText(t, folder, name, text)
	}
	o.Version = "test"
	var doubts []record.Finding
	o.OnResult = func(r *Result) error {
		for f, err := range r.Each() {
			if err != nil {
				return err
			}
			if f.Level >= record.Warning {
				doubts = append(doubts, f)
			}
		}
		return nil
	}
	if _, err := Run(context.Background(), folder, out, o); err != nil {
		t.Fatal(err)
	}
	return out, doubts
}

func ofRule(fs []record.Finding, rule string) (out []record.Finding) {
	for _, f := range fs {
		if f.Rule == rule {
			out = append(out, f)
		}
	}
	return out
}

// Both walks give one finding a sheet on keys, whatever number of rows it is of.
func TestKeysAreOneFindingASheet(t *testing.T) {
	for _, c := range []struct {
		name          string
		number        func(i int) string
		rule, reason  string
		level         record.Level
		runs, capture string
		also          int
	}{
		{"no key at all", func(int) string { return "" }, "key-missing",
			"none of the 200 captures has a value in the key columns (recordNumber); their identifiers are made from their contents", record.Warning, "toads.csv, A2:A201", "", 0},
		{"gaps", func(i int) string {
			if i%50 == 7 || i%50 == 8 {
				return ""
			}
			return fmt.Sprint(i)
		}, "key-missing", "the key columns (recordNumber) are empty for 8 of 200 captures; their identifiers are made from their contents", record.Error,
			"toads.csv, A9:A10 toads.csv, A59:A60 toads.csv, A109:A110 toads.csv, A159:A160", "", 0},
		{"one gap", func(i int) string {
			if i == 7 {
				return ""
			}
			return fmt.Sprint(i)
		}, "key-missing", "the capture has no value in the key columns; its identifier is made from its contents", record.Error, "", "(toads.csv, row 9)", 0},
		{"numbers of each day", func(i int) string { return fmt.Sprint(i / 28) }, "key-repeated",
			"192 captures have the same key as an earlier one: 0, 1, 2, 3, 4 and 3 others", record.Error, "", "", 199},
		{"one number twice", func(i int) string { return fmt.Sprint(max(i, 1)) }, "key-repeated", "the capture at toads.csv, row 2 has the same key", record.Error, "", "1", 1},
	} {
		for name, o := range map[string]Options{"held": {}, "parts": {wholeRows: 1, partRows: 40}} {
			t.Run(c.name+"/"+name, func(t *testing.T) {
				_, fs := runToads(t, toads(200, c.number), o)
				got := ofRule(fs, c.rule)
				if len(got) != 1 {
					t.Fatalf("%d findings of %s", len(got), c.rule)
				}
				var runs []string
				for _, r := range got[0].Runs {
					runs = append(runs, r.String())
				}
				if f := got[0]; f.Level != c.level || f.Reason != c.reason || strings.Join(runs, " ") != c.runs || f.Capture != c.capture || len(f.Also) != c.also {
					t.Errorf("%s %q, runs %v, capture %q, also %d", f.Level, f.Reason, runs, f.Capture, len(f.Also))
				}
			})
		}
	}
}

// identifiers returns the identifier of each row of an archive by what is told of it.
func identifiers(t *testing.T, out string) map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join(out, "captures.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	id := slices.Index(rows[0], "occurrenceID")
	ids := map[string]string{}
	seen := map[string]bool{}
	for _, r := range rows[1:] {
		told := slices.Clone(r)
		for i, heading := range rows[0] {
			switch heading {
			case "capture", "row", "errors", "warnings", "occurrenceID", "scaledMassIndex (g)", "conditionResidual (1)":
				told[i] = ""
			}
		}
		text := strings.Join(told, "|")
		for ids[text] != "" {
			text += "+" // one of equal contents
		}
		if seen[r[id]] {
			t.Errorf("%s names two captures", r[id])
		}
		ids[text], seen[r[id]] = r[id], true
	}
	return ids
}

// No identifier hangs on the order of rows, or on what other rows there are.
func TestIdentifiersStayWhenRowsMove(t *testing.T) {
	for name, number := range map[string]func(i int) string{
		"without keys":  func(int) string { return "" },
		"repeated keys": func(i int) string { return fmt.Sprint(i / 3) },
	} {
		rows := toads(90, number)
		rows = append(rows, rows[:5]...) // equal to the letter
		moved := slices.Clone(rows)
		r := rand.New(rand.NewPCG(7, 7))
		r.Shuffle(len(moved), func(i, j int) { moved[i], moved[j] = moved[j], moved[i] })
		for walk, o := range map[string]Options{"held": {}, "parts": {wholeRows: 1, partRows: 20}} {
			t.Run(name+"/"+walk, func(t *testing.T) {
				before, _ := runToads(t, rows, o)
				after, _ := runToads(t, moved, o)
				a, b := identifiers(t, before), identifiers(t, after)
				if len(a) != 95 || len(b) != 95 {
					t.Fatalf("%d and %d captures", len(a), len(b))
				}
				same := 0
				for text, id := range a {
					if strings.HasSuffix(text, "+") {
						continue
					}
					switch equal := b[text+"+"]; {
					case b[text] == id, equal != "" && equal == id: // which of two equal rows is which nobody can say
						same++
					default:
						t.Errorf("%s was %s and is %s", text, id, b[text])
					}
				}
				if same < 90 {
					t.Errorf("%d the same", same)
				}
				if name == "without keys" {
					fewer, _ := runToads(t, rows[5:60], o) // each once
					for text, id := range identifiers(t, fewer) {
						if a[text] != id && a[text+"+"] != id {
							t.Errorf("with fewer rows %s is %s", text, id)
						}
					}
				}
			})
		}
	}
}
