package layout

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"spadefoot/pipeline/record"
)

// pair is "Site: Tern Slough" taken apart.
type pair struct {
	name, value string
	equals      bool // written with =
}

// nameValue parts a text at its first colon or equals sign. A time ("19:30"),
// a ratio or an address of the web is not a pair: the name is a short word or
// a few. "M = male" explains a letter and is none either.
func nameValue(text string) (pair, bool) {
	i := strings.IndexAny(text, ":=")
	if i <= 0 {
		return pair{}, false
	}
	p := pair{name: strings.TrimSpace(text[:i]), value: strings.TrimSpace(text[i+1:]), equals: text[i] == '='}
	before, _ := utf8.DecodeLastRuneInString(text[:i])
	after, _ := utf8.DecodeRuneInString(text[i+1:])
	letters := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) {
			return r
		}
		return -1
	}, p.name)
	switch {
	case kindOfText(p.name) != word || utf8.RuneCountInString(p.name) > longestName || strings.Count(p.name, " ") > 4:
		return pair{}, false
	case strings.Contains(p.name, ",") && strings.ContainsAny(p.name, "0123456789"): // "Night 3 - clear, 2C: nothing"
		return pair{}, false
	case unicode.IsDigit(before) && unicode.IsDigit(after), strings.HasPrefix(text[i:], "://"), strings.HasPrefix(text[i:], ":\\"):
		return pair{}, false
	case strings.Contains(p.value, "="), p.equals && utf8.RuneCountInString(letters) < 3:
		return pair{}, false
	}
	return p, true
}

// isName reports whether a cell begins with a name and a colon.
func isName(c *record.Cell) bool {
	switch c.Kind {
	case record.Number, record.Date, record.Bool, record.Fault:
		return false
	}
	if strings.IndexByte(c.Text, ':') < 0 && strings.IndexByte(c.Text, '=') < 0 {
		return false
	}
	_, ok := nameValue(c.Text)
	return ok
}

// severalPairs parts a cell that names several values: "Site: Tern Slough;
// Observer: I. Varga" or with commas or wide gaps, where a name with a colon
// follows. What is not a pair stays with the value before it.
func severalPairs(text string) []pair {
	var out []pair
	rest := text
	for rest != "" {
		p, ok := nameValue(rest)
		if !ok {
			break
		}
		cut := nextPair(rest)
		if cut < 0 {
			return append(out, p)
		}
		if head, ok := nameValue(rest[:cut]); ok {
			p = head
		}
		p.value = strings.TrimRight(p.value, " ;,|\t\n\r")
		out = append(out, p)
		rest = strings.TrimLeft(rest[cut:], " ;,|\t\n\r")
	}
	return out
}

// nextPair returns where, after a mark that parts, another name with a colon
// begins, or -1.
func nextPair(text string) int {
	from := strings.IndexAny(text, ":=") + 1
	for i := from; i < len(text); i++ {
		wide := i+1 < len(text) && text[i] == ' ' && text[i+1] == ' '
		if !wide && strings.IndexByte(";,|\t\n\r", text[i]) < 0 {
			continue
		}
		rest := strings.TrimLeft(text[i:], " ;,|\t\n\r")
		colon := strings.IndexByte(rest, ':')
		if colon <= 0 || strings.ContainsAny(rest[:colon], ";,|\t\n\r") || strings.Contains(rest[:colon], "  ") {
			continue
		}
		if p, ok := nameValue(rest); ok && !p.equals {
			return i
		}
	}
	return -1
}
