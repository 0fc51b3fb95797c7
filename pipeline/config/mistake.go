package config

import (
	"fmt"
	"strings"

	"github.com/hbollon/go-edlib"
)

// Mistake is one thing wrong in a configuration file.
type Mistake struct {
	File    string   // name of the file, or the name of the flag or variable
	Line    int      // from 1; 0 where there is no line
	Path    string   // keys from the top, joined by dots; list items count from 0
	Problem string   // what was found
	Allowed []string // what would be accepted, where that is a list
	Nearest string   // the allowed word that is spelled most like the one found
}

// String writes the mistake on one line.
func (m Mistake) String() string {
	var b strings.Builder
	b.WriteString(m.File)
	if m.Line > 0 {
		fmt.Fprintf(&b, ", line %d", m.Line)
	}
	if m.Path != "" {
		fmt.Fprintf(&b, ", key %s", m.Path)
	}
	b.WriteString(": ")
	b.WriteString(m.Problem)
	if len(m.Allowed) > 0 {
		fmt.Fprintf(&b, "; allowed: %s", strings.Join(m.Allowed, ", "))
	}
	if m.Nearest != "" {
		fmt.Fprintf(&b, "; did you mean %q?", m.Nearest)
	}
	return b.String()
}

// Mistakes is every mistake found in one go, so that a person can correct them
// together. It is an error.
type Mistakes []Mistake

// maxMistakes is the number of mistakes that the error tells one by one.
const maxMistakes = 50

// Error lists the first mistakes, one per line, and the number of the others.
func (ms Mistakes) Error() string {
	var lines []string
	for i, m := range ms {
		if i == maxMistakes {
			lines = append(lines, fmt.Sprintf("%s: and %d more mistakes", m.File, len(ms)-i))
			break
		}
		lines = append(lines, m.String())
	}
	return strings.Join(lines, "\n")
}

// Nearest returns the word of allowed that is spelled most like word, or "" if
// none is alike (Damerau–Levenshtein distance above a third of its length).
func Nearest(word string, allowed []string) string {
	best, bestDistance := "", 1<<30
	low := strings.ToLower(word)
	for _, a := range allowed {
		if n := len(low) - 4*len(a); n > 0 {
			continue // far from alike, however long it is
		}
		d := edlib.OSADamerauLevenshteinDistance(low, strings.ToLower(a))
		if d < bestDistance {
			best, bestDistance = a, d
		}
	}
	if limit := max(1, len(best)/3); bestDistance > limit {
		return ""
	}
	return best
}
