package survey

import (
	"strings"
	"testing"
)

const described = `# ours
dataset:
  id: "https://pond.invalid/dataset" # decide once
  title: Frogs
  description: >-
    Two lines
    of text.
  # who did it
  creators:
    - {family: to be named}
# the rest
defaults:
  basisOfRecord: HumanObservation
`

func TestDescribeTouchesNothingElse(t *testing.T) {
	for _, c := range []struct {
		name string
		part Part
		from string
		to   string
	}{
		{"a text", Part{Key: "title", Text: "Frogs: the year"}, "  title: Frogs\n", "  title: \"Frogs: the year\"\n"},
		{"a text with a comment", Part{Key: "id", Text: "doi:10.1/x"}, `  id: "https://pond.invalid/dataset" # decide once`, `  id: "doi:10.1/x" # decide once`},
		{"a text over several lines", Part{Key: "description", Text: "One line."}, "  description: >-\n    Two lines\n    of text.\n", "  description: One line.\n"},
		{"people", Part{Key: "creators", People: []Person{{Given: "Ines", Family: "Varga", ORCID: "0000-0002-1825-0097"}, {Organisation: "Marrow Creek Field Station"}}},
			"    - {family: to be named}\n", "    - {given: Ines, family: Varga, orcid: \"0000-0002-1825-0097\"}\n    - {organisation: Marrow Creek Field Station}\n"},
		{"a new part", Part{Key: "rightsHolder", Text: "The station"}, "    - {family: to be named}\n", "    - {family: to be named}\n  rightsHolder: The station\n"},
		{"nothing", Part{Key: "description"}, "  description: >-\n    Two lines\n    of text.\n", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			out, err := Describe([]byte(described), []Part{c.part})
			if err != nil {
				t.Fatal(err)
			}
			if want := strings.Replace(described, c.from, c.to, 1); string(out) != want {
				t.Errorf("got\n%s\nwant\n%s", out, want)
			}
		})
	}
	if _, err := Describe([]byte("dataset: {id: x, title: y}\n"), []Part{{Key: "title", Text: "z"}}); err == nil {
		t.Error("a description in one line was changed")
	}
}

func TestDescribeAtTheEndOfTheFile(t *testing.T) {
	for _, text := range []string{"sheets: []\ndataset:\n  id: x\n  title: y", "sheets: []\ndataset:\n  id: x\n  title: y\n", "sheets: []\ndataset:\n  id: x\n  title: y\n\n# end\n"} {
		out, err := Describe([]byte(text), []Part{{Key: "licence", Text: "CC0 1.0"}, {Key: "title", Text: "z"}})
		if err != nil || !strings.Contains(string(out), "\n  title: z\n  licence: \"CC0 1.0\"\n") && !strings.Contains(string(out), "\n  title: z\n  licence: CC0 1.0\n") {
			t.Errorf("%q became %q (%v)", text, out, err)
		}
	}
}

func FuzzDescribe(f *testing.F) {
	f.Add(described, "A title")
	f.Add("dataset:\n  id: x\n  title: |\n   a\n", "b: #c")
	f.Fuzz(func(t *testing.T, text, title string) {
		_, _ = Describe([]byte(text), []Part{{Key: "title", Text: title}, {Key: "purpose", Text: "p"}}) // it checks itself
	})
}
