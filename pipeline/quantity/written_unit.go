package quantity

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	edlib "github.com/hbollon/go-edlib"
)

// longestUnit bounds how far a unit may reach, in bytes.
const longestUnit = 32

// unit reads the longest unit that s starts with. Nothing is taken if there is
// none.
func (p *parser) unit(q *Quantity) {
	s := strings.TrimLeft(p.s, " \u00a0")
	if s == "" {
		return
	}
	if s[0] == '(' || s[0] == '[' {
		if end := strings.IndexAny(s, ")]"); end > 0 {
			if u := units().find(s[1:end]); u != nil {
				q.Unit, q.UnitWritten, p.s = u.code, true, s[end+1:]
				return
			}
		}
	}
	for end := unitReach(s); end > 0; end-- {
		if !wordEnd(s, end) {
			continue
		}
		if u := units().find(s[:end]); u != nil {
			q.Unit, q.UnitWritten, p.s = u.code, true, s[end:]
			return
		}
	}
}

// unitReach returns how many bytes at the start of s a unit can take at most.
func unitReach(s string) int {
	for i, r := range s {
		if i > longestUnit || strings.ContainsRune("(){}?;,±+<>=~*", r) ||
			isDigit(r) && (i == 0 || s[i-1] == ' ') {
			return i
		}
	}
	return len(s)
}

// wordEnd reports whether a word or mark ends after n bytes of s.
func wordEnd(s string, n int) bool {
	if n < len(s) && !utf8.RuneStart(s[n]) {
		return false
	}
	last, _ := utf8.DecodeLastRuneInString(s[:n])
	next, _ := utf8.DecodeRuneInString(s[n:])
	return last != ' ' && !(unicode.IsLetter(last) && unicode.IsLetter(next)) &&
		!(isDigit(last) && (isDigit(next) || next == '.' || next == ','))
}

func allLetters(s string) bool {
	for _, r := range s {
		if !unicode.IsLetter(r) {
			return false
		}
	}
	return s != ""
}

// nearUnit returns the unit whose name is a slip of the pen away from s, or "".
// Words under three letters are too near to everything.
func nearUnit(s string) string {
	k := fold(s)
	n := utf8.RuneCountInString(k)
	if n < 3 || n > 20 {
		return ""
	}
	best, found := 3, ""
	for _, name := range units().spelled {
		m := utf8.RuneCountInString(name)
		if m < 2 || m > n+2 || n > m+2 {
			continue
		}
		if d := edlib.OSADamerauLevenshteinDistance(k, name); d < best && isSlip(k, name, d) {
			best, found = d, units().names[name].display
		}
	}
	return found
}

// isSlip reports whether a word that is d letters from the name of a unit is
// rather that name misspelt than its own word: letters changed places, or
// one is wrong in an abbreviation, or in a longer word behind its first letter;
// from eight letters on two.
func isSlip(word, name string, d int) bool {
	n := utf8.RuneCountInString(name)
	switch {
	case d > 2 || d == 2 && n < 8:
		return false
	case !strings.ContainsAny(word, "aeiouy") || sortedLetters(word) == sortedLetters(name):
		return true
	}
	return n >= 5 && word[0] == name[0]
}

func sortedLetters(s string) string {
	r := []rune(s)
	slices.Sort(r)
	return string(r)
}
