package mapping

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
)

// How people explain codes is common practice.
func TestCodesIn(t *testing.T) {
	for _, c := range []struct {
		text string
		want map[string]string
	}{
		{"sex (1=M; 2=F; 0=unk)", map[string]string{"1": "M", "2": "F", "0": "unk"}},
		{"A = adult, J = juvenile", map[string]string{"A": "adult", "J": "juvenile"}},
		{"1: male, 2: female", map[string]string{"1": "male", "2": "female"}},
		{"SVL (mm)", nil},
		{"start (9:30), end (11:40)", nil},
		{"x = 3, y = 4", nil},
		{"M = male", nil},
	} {
		if d := cmp.Diff(c.want, codesIn(c.text)); d != "" {
			t.Errorf("%s: %s", c.text, d)
		}
	}
}

func TestLineOfCodes(t *testing.T) {
	for _, c := range []struct {
		line      string
		texts     []string
		want      string
		explained float64
	}{
		{"NR non-reproductive, P pregnant, PL post-lactating", []string{"NR", "", "PL", "-"}, "NR = non-reproductive; P = pregnant; PL = post-lactating", 1},
		{"I = inactivo; L = lactante", []string{"I", "L", "L"}, "I = inactivo; L = lactante", 1},
		{"I = inactivo; L = lactante", []string{"I", "L", "M", "P"}, "I = inactivo; L = lactante", 0.5}, // says nothing of M and P
		{"Legenda: m = man, v = vrouw", []string{"m", "v"}, "m = man; v = vrouw", 1},
		{"I = inactivo; L = lactante", []string{"", ""}, "", 0},
		{"M = male", []string{"M"}, "", 0},
		{"All frogs released, no deaths", []string{"A"}, "", 0},
	} {
		if got, explained := LineOfCodes(c.line, c.texts); got != c.want || explained != c.explained {
			t.Errorf("%q of %q: %q, %g, want %q, %g", c.line, c.texts, got, explained, c.want, c.explained)
		}
	}
}

func TestGuessCodes(t *testing.T) {
	columns := []column{{"sex (1=M; 2=F; 0=unk)", "sex", pick("1", "2", "0")}, {"AGE", "lifeStage", pick("A", "J", "M")},
		{"State (1=good; 2=bad)", "", pick("1", "2")}, {"N/R", "", pick("N", "R")},
		{"Preg", "reproductiveCondition", pick("P", "N", "Y")}, {"SVL (mm)", "snoutVentLength mm", svl}}
	clues := repeatableTerms
	clues.Legend = func(heading string) string {
		return map[string]string{"AGE": "A adult, J juvenile, M metamorph", "N/R": "N = new; R = recapture date"}[heading]
	}
	guesses := Guess([]record.Table{sheet(columns, 40, false)}, clues)
	words := []map[string]string{{"0": "indeterminate", "1": "male", "2": "female"}, {"A": "adult", "J": "juvenile", "M": "metamorph"}, nil, nil,
		{"N": "not pregnant", "Y": "pregnant"}, nil}
	for i, g := range guesses {
		if got := said(g.Meaning); got != columns[i].want {
			t.Errorf("%s: %q, want %q", g.Heading, got, columns[i].want)
		}
		if d := cmp.Diff(words[i], g.Meaning.Vocabulary); d != "" {
			t.Errorf("%s: %s", g.Heading, d)
		}
	}
}
