package layout

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"spadefoot/mappings"
	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/record"
	"spadefoot/schemas"
)

// TestWordList reads the list whole: every kind is known, no word is twice
// in a kind and language, and the terms are Darwin Core's.
func TestWordList(t *testing.T) {
	rows, err := mappings.Table[wordRow]("layout_words.csv")
	if err != nil {
		t.Fatal(err)
	}
	kinds := words().kinds()
	for _, r := range rows {
		if kinds[r.Kind] == nil {
			t.Errorf("kind %q", r.Kind)
		}
		seen := map[string]bool{}
		for _, w := range strings.Split(r.Words, "|") {
			if w == "" || seen[w] {
				t.Errorf("%s, %s: %q is empty or stands twice", r.Kind, r.Language, w)
			}
			seen[w] = true
			if (r.Kind == "carried" || r.Kind == "animal") && !terms.Known(w) {
				t.Errorf("%s: %q is no Darwin Core term", r.Kind, w)
			}
		}
	}
	for kind, set := range kinds {
		if len(set) < 5 {
			t.Errorf("%s has %d words", kind, len(set))
		}
	}
	if len(headingWords()) < 1000 {
		t.Errorf("%d usual headings", len(headingWords()))
	}
}

// TestRulesAreListed finds every code that the package raises in the table of
// rules, and the other way round.
func TestRulesAreListed(t *testing.T) {
	rows, err := schemas.Table[schemas.Rule]("rules/layout.csv")
	if err != nil {
		t.Fatal(err)
	}
	listed := map[string]bool{"table-without-rows": true} // raised where tables are mapped
	for _, r := range rows {
		if len(r.Summary) >= 80 || r.Help == "" || r.Stage != "lay out" {
			t.Errorf("%s: summary of %d characters, stage %q, help %q", r.Code, len(r.Summary), r.Stage, r.Help)
		}
		listed[r.Code] = true
	}
	code := regexp.MustCompile(`(?:note\(|leave\(|Rule: |x\.Rule, x\.Level = )"([a-z-]+)"`)
	raised := map[string]bool{"table-without-rows": true}
	files, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if !strings.HasSuffix(f.Name(), ".go") || strings.HasSuffix(f.Name(), "_test.go") {
			continue
		}
		b, err := os.ReadFile(f.Name())
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range code.FindAllStringSubmatch(string(b), -1) {
			raised[m[1]] = true
			if !listed[m[1]] {
				t.Errorf("%s raises %s, which is not listed", f.Name(), m[1])
			}
		}
	}
	for c := range listed {
		if !raised[c] {
			t.Errorf("%s is listed and never raised", c)
		}
	}
}

func TestKindOf(t *testing.T) {
	for text, want := range map[string]kind{
		"": blank, "  \t": blank, "\u00a0": blank,
		"-": mark, "?": mark, "♂": mark, "\"": mark,
		"SVL": word, "SVL1": word, "Tern Slough": word, "Größe": word, "MARCH1": word,
		"1": value, "12,5": value, "33g": value, "3 May": value, "c. 40": value, "MC23-044": value, "~5": value, "½ 12": value, "<0.5": value,
	} {
		if got := kindOfText(text); got != want {
			t.Errorf("%q: %d, want %d", text, got, want)
		}
	}
	for _, k := range []record.CellKind{record.Number, record.Date, record.Bool, record.Fault} {
		if got := kindOf(&record.Cell{Text: "TRUE", Kind: k}); got != value {
			t.Errorf("a stored %d is %d", k, got)
		}
	}
}

func TestIsDitto(t *testing.T) {
	for _, text := range []string{`"`, `""`, `''`, `-"-`, `,,`, `″`, `〃`, `„`, `»`, `- " -`, `´´`, `~"~`, "do.", "Do.", "do", "ditto", "Ditto", "idem", "id.", "dito", "desgl.", "same", " \" "} {
		if !isDitto(&record.Cell{Text: text, Kind: record.Text}) {
			t.Errorf("%q is a ditto mark", text)
		}
	}
	for _, text := range []string{"", "-", "--", "–", "'", ",", "ID", "DO", "id", "?", "5\"", "SVL", "dog", "n/a", "~", "sameness", "- - - \" - - -"} {
		if isDitto(&record.Cell{Text: text, Kind: record.Text}) {
			t.Errorf("%q is no ditto mark", text)
		}
	}
	if isDitto(&record.Cell{Text: `"`, Kind: record.Number}) {
		t.Error("a stored number is no ditto mark")
	}
}

func TestIsDay(t *testing.T) {
	for _, text := range []string{"3 May 2021", "3 May", "2021-05-03", "3.5.2021", "03/05/21", "4 mai 1987", "12 VI 1987"} {
		if !isDay(&record.Cell{Text: text, Kind: record.Text}) {
			t.Errorf("%q is a day", text)
		}
	}
	for _, text := range []string{"", "12", "12.5", "May 2021", "2021", "MC23-044", "Pond 3", "1234567", "3 frogs", "12 30"} {
		if isDay(&record.Cell{Text: text, Kind: record.Text}) {
			t.Errorf("%q is not a day", text)
		}
	}
}

func TestNameValue(t *testing.T) {
	for text, want := range map[string]pair{
		"Site: Tern Slough":      {name: "Site", value: "Tern Slough"},
		"Site:":                  {name: "Site"},
		"Bag mass = 5.5 g":       {name: "Bag mass", value: "5.5 g", equals: true},
		"Start: 19:30":           {name: "Start", value: "19:30"},
		"Wind speed (Bft) : 3-4": {name: "Wind speed (Bft)", value: "3-4"},
	} {
		if got, ok := nameValue(text); !ok || got != want {
			t.Errorf("%q: %+v, %t", text, got, ok)
		}
	}
	for _, text := range []string{"", ":", "19:30", "1:2", "scale 1:2", "M = male", "Sex: M = male, F = female", "http://marrow-creek.invalid",
		`C:\frogs`, "a very long line of words that goes on: and on", "12: x"} {
		if got, ok := nameValue(text); ok {
			t.Errorf("%q is not a name with a value: %+v", text, got)
		}
	}
}
