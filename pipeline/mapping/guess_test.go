package mapping

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// said writes a meaning for comparison.
func said(m record.Meaning) string {
	switch m.Role {
	case record.Term:
		return m.Term
	case record.Measurement:
		s := m.Measurement + " " + m.Unit
		if m.Replicate > 0 {
			s += fmt.Sprintf(" #%d", m.Replicate)
		}
		return s
	case record.WeighPart:
		if m.Part == record.Bag || m.Part == record.Scale {
			return m.Part
		}
		return m.Part + " " + m.Unit
	case record.SetAside:
		return "aside"
	case record.NameColumn:
		return "long name"
	case record.ValueColumn:
		return "long value"
	case record.UnitColumn:
		return "long unit"
	}
	return ""
}

var repeatableTerms = Clues{Named: terms.Named, Repeatable: func(term string) bool {
	return slices.Contains([]string{"occurrenceRemarks", "associatedMedia", "recordedBy", "habitat", "eventRemarks", "organismRemarks"}, term)
}}

// Of all columns of the invented sheets nearly all are guessed as a person
// would; what is guessed wrongly is named in the log.
func TestGuessCounts(t *testing.T) {
	right, all := 0, 0
	for _, s := range sheets {
		table := sheet(s.columns, 40, s.comma)
		guesses := Guess([]record.Table{table}, repeatableTerms)
		if len(guesses) != len(s.columns) {
			t.Fatalf("%s: %d guesses for %d columns", s.name, len(guesses), len(s.columns))
		}
		for i, g := range guesses {
			all++
			want, got := s.columns[i].want, said(g.Meaning)
			if got == want {
				right++
				continue
			}
			t.Logf("%s: %q: guessed %q (%.2f), want %q: %s %v", s.name, g.Heading, got, g.Confidence, want, g.Reason, g.Alternatives)
		}
	}
	t.Logf("%d of %d columns right", right, all)
	if 100*right < 97*all {
		t.Errorf("%d of %d columns right, 97 %% wanted", right, all)
	}
}

// No two columns of a table get the same single thing, whatever the headings.
func TestGuessGivesNothingTwice(t *testing.T) {
	for _, s := range sheets {
		doubled := append(slices.Clone(s.columns), s.columns...)
		table := sheet(doubled, 30, s.comma)
		guesses := Guess([]record.Table{table}, repeatableTerms)
		seen := map[string]string{}
		for _, g := range guesses {
			key := meaningKey(g.Meaning)
			if key == "" || g.Meaning.Role == record.Term && repeatableTerms.Repeatable(g.Meaning.Term) {
				continue
			}
			if seen[key] != "" {
				t.Errorf("%s: columns %q and %q both mean %s", s.name, seen[key], g.Heading, key)
			}
			seen[key] = g.Heading
		}
	}
}

// The same tables give the same guesses; confidences are shares; every guess
// has a reason.
func TestGuessSteady(t *testing.T) {
	var tables []record.Table
	for _, s := range sheets {
		tables = append(tables, sheet(s.columns, 25, s.comma))
	}
	first := Guess(tables, Clues{})
	for range 3 {
		again := Guess(tables, Clues{})
		if !reflect.DeepEqual(first, again) {
			t.Fatal("two runs differ")
		}
	}
	for _, g := range first {
		if g.Confidence < 0 || g.Confidence > 1 || len(g.Reason) < 10 || !strings.HasSuffix(g.Reason, ".") {
			t.Errorf("%+v", g)
		}
	}
}

func TestGuessUsesClues(t *testing.T) {
	table := sheet([]column{{"Quarry", "", pick("Grünfrosch", "Waldfrosch")}, {"SVL", "", svl}}, 30, false)
	clues := Clues{Species: func(text string) bool { return strings.HasSuffix(text, "frosch") }, Tools: []Tool{{"caliper 2", "mm"}, {"scale 60", "g"}}}
	guesses := Guess([]record.Table{table}, clues)
	if said(guesses[0].Meaning) != "scientificName" || !strings.Contains(guesses[0].Reason, "checklist") {
		t.Errorf("%+v", guesses[0])
	}
	if guesses[1].Meaning.Instrument != "caliper 2" || guesses[1].Usual != "caliper" {
		t.Errorf("%+v", guesses[1])
	}
	if guesses := Guess(nil, clues); len(guesses) != 0 {
		t.Error(guesses)
	}
	empty := record.Table{Columns: []record.Column{{Heading: "SVL (cm)"}, {Heading: ""}, {Heading: "Date (dd.mm.yy)"}}}
	guesses = Guess([]record.Table{empty}, Clues{})
	if said(guesses[0].Meaning) != "snoutVentLength cm" || said(guesses[1].Meaning) != "" || guesses[2].Meaning.DateOrder != "dmy" {
		t.Errorf("%+v", guesses)
	}
}

// The published penguin sheet (Gorman, Williams & Fraser 2014, PLoS ONE 9(3):
// e90081) is understood from its own headings.
func TestGuessPublishedSheet(t *testing.T) {
	f, err := os.Open(need.Shared(t, "opendata/penguins_raw.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var table record.Table
	for i, h := range rows[0] {
		table.Columns = append(table.Columns, record.Column{Heading: h, Number: i + 1})
	}
	for _, r := range rows[1:] {
		var row record.TableRow
		for _, text := range r {
			row.Cells = append(row.Cells, record.Cell{Text: text})
		}
		table.Rows = append(table.Rows, row)
	}
	guesses := Guess([]record.Table{table}, repeatableTerms)
	got := map[string]string{}
	for _, g := range guesses {
		got[g.Heading] = said(g.Meaning)
	}
	for heading, want := range map[string]string{"Species": "scientificName", "Island": "island", "Region": "higherGeography", "Individual ID": "", // N1A1 is an Adelie and a Gentoo penguin
		"Date Egg":           "eventDate",
		"Culmen Length (mm)": "culmenLength mm", "Culmen Depth (mm)": "culmenDepth mm", "Flipper Length (mm)": "flipperLength mm", "Body Mass (g)": "net g",
		"Sex": "sex", "Delta 15 N (o/oo)": "delta15N [ppth]", "Delta 13 C (o/oo)": "delta13C [ppth]", "Comments": "occurrenceRemarks", "Sample Number": "recordNumber"} {
		if got[heading] != want {
			t.Errorf("%q: %q, want %q", heading, got[heading], want)
		}
	}
}

func TestBestAssignment(t *testing.T) {
	rng := rand.New(rand.NewSource(4))
	for range 200 {
		n, m := 1+rng.Intn(5), 5+rng.Intn(2)
		scores := make([][]float64, n)
		for i := range scores {
			for range m {
				scores[i] = append(scores[i], math.Round(rng.NormFloat64()*10))
			}
		}
		given := bestAssignment(scores)
		sum := 0.0
		used := map[int]bool{}
		for i, j := range given {
			if used[j] {
				t.Fatalf("column %d given twice", j)
			}
			used[j] = true
			sum += scores[i][j]
		}
		if best := everyAssignment(scores, 0, map[int]bool{}); math.Abs(best-sum) > 1e-9 {
			t.Fatalf("%v gives %v, sum %g; %g can be had", scores, given, sum, best)
		}
	}
}

// everyAssignment tries all ways.
func everyAssignment(scores [][]float64, i int, used map[int]bool) float64 {
	if i == len(scores) {
		return 0
	}
	best := math.Inf(-1)
	for j := range scores[i] {
		if !used[j] {
			used[j] = true
			best = max(best, scores[i][j]+everyAssignment(scores, i+1, used))
			delete(used, j)
		}
	}
	return best
}

func ExampleGuess() {
	table := record.Table{Columns: []record.Column{{Heading: "KRL (mm)"}, {Heading: "Wt"}, {Heading: "Bag"}}}
	for _, r := range [][]string{{"57.5", "25.5", "5"}, {"61.0", "29", "5.5"}, {"48.2", "16.5", "5"}, {"70.1", "41", "4.5"}, {"55.0", "23", "5"}} {
		var row record.TableRow
		for _, text := range r {
			row.Cells = append(row.Cells, record.Cell{Text: text})
		}
		table.Rows = append(table.Rows, row)
	}
	guesses := Guess([]record.Table{table}, Clues{})
	for _, g := range guesses {
		fmt.Printf("%s: %s%s in %s, with a %s\n", g.Heading, g.Meaning.Measurement, g.Meaning.Part, g.Meaning.Unit, g.Usual)
	}
	// Output:
	// KRL (mm): snoutVentLength in mm, with a caliper
	// Wt: gross in g, with a spring scale
	// Bag: tare in g, with a spring scale
}

func FuzzGuess(f *testing.F) {
	f.Add("SVL (mm)", "57.5", "Wt", "25 g")
	f.Add("Date", "3.6.21", "", "?")
	f.Add("SVL1", "", "SVL 2 (", "1e400")
	f.Fuzz(func(t *testing.T, h1, c1, h2, c2 string) {
		table := record.Table{Columns: []record.Column{{Heading: h1}, {Heading: h2, Unit: c1}}}
		for range 12 {
			table.Rows = append(table.Rows, record.TableRow{Cells: []record.Cell{{Text: c1}, {Text: c2}}}, record.TableRow{Cells: []record.Cell{{Text: c2}}})
		}
		guesses := Guess([]record.Table{table}, Clues{})
		if len(guesses) != 2 {
			t.Fatal(len(guesses))
		}
		for _, g := range guesses {
			if !(g.Confidence >= 0 && g.Confidence <= 1) || g.Reason == "" {
				t.Fatalf("%+v", g)
			}
		}
	})
}

// A heading that is the name of a Darwin Core term as the standard writes it means that
// term, over words and over numbers, unless drafts know what its values look like.
func TestGuessNamesOfTerms(t *testing.T) {
	know := draftKnowledge()
	n := 0
	for _, published := range terms.All() {
		term := published.Name
		if term != terms.Named(term) || know.values[term].Kind != "" {
			continue
		}
		n++
		for _, values := range []func(int) string{cycle("alder pond", "near the mill"), rising("%.0f", 12, 1)} {
			guesses := Guess([]record.Table{tableOf("frogs.csv", []string{"catalogNumber", term, "SVL (mm)"}, rising("MC-%.0f", 101, 1), values, rising("%.1f", 48, 0.5))}, repeatableTerms)
			numbersNotRemarks := strings.HasSuffix(term, "Remarks") && values(0) == "12"
			if got := guesses[1]; !numbersNotRemarks && (said(got.Meaning) != term || got.Confidence < 0.9) {
				t.Errorf("%q over %q is taken for %q (%.2f): %s", term, values(0), said(got.Meaning), got.Confidence, got.Reason)
			}
		}
	}
	if n < 100 {
		t.Errorf("only %d terms", n)
	}
}
