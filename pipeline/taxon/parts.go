package taxon

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// doubtWords takes the qualifiers that stand next.
func (p *parser) doubtWords() string {
	var words []string
	for qualifier(p.peek()) != "" && len(p.rest) > 1 {
		words = append(words, qualifier(p.next()))
	}
	return strings.Join(words, " ")
}

// settle notes a doubt of one part of the name: by words before it, or by a
// question mark behind it. The qualifier holds the part with them, as
// dwc:identificationQualifier does ("cf. pipiens"). A doubt of the whole name
// outweighs it.
func (p *parser) settle(where doubt, before, part string, doubted bool) {
	if p.peek() == "?" {
		p.next()
		part, doubted = part+"?", true
	}
	if p.lead != "" || !doubted || p.doubt > where {
		return
	}
	p.doubt = where
	p.qualifier = strings.TrimSpace(before + " " + part)
}

// doubtLast notes a question mark at the very end, behind an author.
func (p *parser) doubtLast() {
	switch {
	case p.doubt != certain:
	case p.infra != "":
		p.doubt, p.qualifier = doubtInfra, p.infra+"?"
	case p.species != "":
		p.doubt, p.qualifier = doubtSpecies, p.species+"?"
	default:
		p.doubt, p.qualifier = doubtGenus, p.genus+"?"
	}
}

// isGenus reports whether the word has the shape of a genus: a capital and
// small letters.
func isGenus(word string) bool {
	for i, r := range word {
		if i == 0 && !unicode.IsUpper(r) || i > 0 && r != '-' && !unicode.IsLower(r) {
			return false
		}
	}
	return word != "" && !strings.HasSuffix(word, "-")
}

// isEpithet reports whether the word has the shape of an epithet: two or more
// small letters, and no word of everyday language.
func isEpithet(word string) bool {
	for i, r := range word {
		if !unicode.IsLower(r) && (r != '-' || i == 0) {
			return false
		}
	}
	return utf8.RuneCountInString(word) > 1 && !strings.HasSuffix(word, "-") && !everyday(word) && qualifier(word) == ""
}

// small words within the names of authors.
var authorWords = map[string]bool{"de": true, "del": true, "della": true, "von": true, "van": true, "der": true, "den": true, "la": true, "le": true, "du": true, "dos": true, "da": true, "in": true, "ex": true, "et": true, "al": true, "al.": true, "and": true, "y": true, "und": true, "zu": true, "&": true}

// isAuthor reports whether the words can be the author of a name: capitalised
// names, initials, years and the small words between them.
func isAuthor(words []string) bool {
	named := false
	for _, w := range words {
		for part := range strings.FieldsFuncSeq(w, func(r rune) bool { return strings.ContainsRune("(),; []", r) }) {
			r, _ := utf8.DecodeRuneInString(part)
			switch {
			case unicode.IsUpper(r) && !everyday(part):
				named = true
			case authorWords[part], len(part) == 4 && strings.Trim(part, "0123456789") == "", strings.HasPrefix(part, "d'"), strings.HasPrefix(part, "d’"):
			default:
				return false
			}
		}
	}
	return named && !slices.Contains(words, "×")
}

// titled returns the word with a capital first letter and small ones after it.
func titled(word string) string {
	r, n := utf8.DecodeRuneInString(word)
	return string(unicode.ToUpper(r)) + strings.ToLower(word[n:])
}
