package taxon

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// tokens splits text into words. Underscores count as blanks; a question mark
// is alone; a blank is put behind the dot of an abbreviation ("L.pipiens");
// a bracket with all within it is one token.
func tokens(text string) []string {
	text = norm.NFC.String(strings.ToValidUTF8(text, "\ufffd"))
	var list []string
	var word strings.Builder
	depth := 0
	flush := func() {
		if word.Len() > 0 {
			list = append(list, word.String())
			word.Reset()
		}
	}
	runes := []rune(text)
	for i, r := range runes {
		switch {
		case depth > 0 || r == '(':
			if depth == 0 {
				flush()
			}
			word.WriteRune(r)
			if r == '(' {
				depth++
			} else if r == ')' {
				if depth--; depth == 0 {
					flush()
				}
			}
		case unicode.IsSpace(r) || r == '_':
			flush()
		case r == '?' || r == '×':
			flush()
			list = append(list, string(r))
		case r == '.' && i+1 < len(runes) && unicode.IsLetter(runes[i+1]) && !initials(word.String(), runes[i+1:]):
			word.WriteRune(r)
			flush()
		default:
			word.WriteRune(r)
		}
	}
	flush()
	return list
}

// initials reports whether a dot is within a run such as "s.l." or "T.s.",
// where it does not end a word: one letter before and one letter with a dot
// after it.
func initials(before string, after []rune) bool {
	return utf8.RuneCountInString(before) == 1 && unicode.IsLower([]rune(before)[0]) && len(after) > 1 && after[1] == '.'
}

// parse reads text as one scientific name. With loose, the case of the letters
// does not matter and every word after the first counts as an epithet.
func parse(text string, loose bool) (name, bool) {
	p := parser{rest: tokens(text), loose: loose}
	p.readLead()
	if !p.readGenus() {
		return name{}, false
	}
	p.readSubgenus()
	if !p.readSpecies() || !p.readInfra() || !p.readTail() {
		return name{}, false
	}
	if p.lead != "" {
		p.qualifier = strings.TrimSpace(p.lead + " " + p.String() + " " + p.qualifier)
	}
	return p.name, true
}

type parser struct {
	name
	rest  []string
	loose bool
}

func (p *parser) peek() string {
	if len(p.rest) == 0 {
		return ""
	}
	return p.rest[0]
}

func (p *parser) next() string {
	t := p.peek()
	if len(p.rest) > 0 {
		p.rest = p.rest[1:]
	}
	return t
}

// readLead takes a qualifier before the name: all of it is in doubt.
func (p *parser) readLead() {
	var words []string
	for qualifier(p.peek()) != "" {
		words = append(words, qualifier(p.next()))
	}
	if len(words) > 0 {
		p.doubt, p.lead = doubtGenus, strings.Join(words, " ")
	}
}

func (p *parser) readGenus() bool {
	t := p.next()
	if p.loose {
		t = titled(t)
	}
	if bare := strings.TrimRight(t, "."); bare != t && isGenus(bare) && utf8.RuneCountInString(bare) <= 5 {
		p.genus, p.short = bare+".", true
		return true
	}
	if utf8.RuneCountInString(t) == 1 && unicode.IsUpper([]rune(t)[0]) && isEpithet(strings.ToLower(p.peek())) {
		p.genus, p.short = t+".", true
		return true
	}
	t = strings.TrimRight(t, ",;:")
	if !isGenus(t) || utf8.RuneCountInString(t) < 2 || everyday(t) {
		return false
	}
	p.genus = t
	return true
}

// readSubgenus takes "(Lithobates)" where an epithet follows, or a word of doubt or
// "sp."; otherwise the bracket is an author's.
func (p *parser) readSubgenus() {
	t := p.peek()
	if len(p.rest) < 2 || !strings.HasPrefix(t, "(") || !strings.HasSuffix(t, ")") {
		return
	}
	inner := t[1 : len(t)-1]
	if next := p.rest[1]; isGenus(inner) && (isEpithet(next) || unnamedWords[letters(next)] || qualifier(next) != "" && len(p.rest) > 2) {
		p.subgenus = inner
		p.next()
	}
}

// readSpecies takes "pipiens", "cf. pipiens", "sp. 1" or nothing.
func (p *parser) readSpecies() bool {
	if unnamedWords[letters(p.peek())] {
		return p.readUnnamed()
	}
	doubted := p.doubtWords()
	if t := p.peek(); t == "×" || t == "kl." || t == "klepton" {
		p.sign = map[string]string{"×": "×", "kl.": "kl.", "klepton": "kl."}[p.next()]
	}
	epithet := p.peek()
	if p.loose {
		epithet = strings.ToLower(epithet)
	}
	if (isEpithet(epithet) || animalWords()[letters(p.genus+epithet)] == speciesName) && !rankWords[letters(epithet)] && !senseWords[letters(epithet)] {
		p.species = epithet
		p.next()
		p.settle(doubtSpecies, doubted, p.species, doubted != "")
		return true
	}
	if p.sign != "" || p.short {
		return false
	}
	p.settle(doubtGenus, doubted, p.genus, doubted != "")
	return true
}

// readUnnamed keeps "sp. nov. 1" and all behind it as the qualifier.
func (p *parser) readUnnamed() bool {
	p.unnamed = true
	words := p.rest
	if w := letters(words[0]); w == "sp" || w == "spp" {
		words = append([]string{w + "."}, words[1:]...)
	}
	p.qualifier, p.rest = strings.Join(words, " "), nil
	return true
}

// readInfra takes a subspecies, with or without its mark of rank.
func (p *parser) readInfra() bool {
	if p.species == "" {
		return true
	}
	doubted := p.doubtWords()
	mark := ""
	if rankWords[letters(p.peek())] {
		mark = p.next() + " "
	}
	epithet := p.peek()
	if p.loose {
		epithet = strings.ToLower(epithet)
	}
	if isEpithet(epithet) && !senseWords[letters(epithet)] && !authorWords[epithet] {
		p.infra = epithet
		p.next()
		if p.doubt == doubtSpecies {
			p.qualifier += " " + mark + p.infra
		}
		p.settle(doubtInfra, strings.TrimSpace(doubted+" "+mark), p.infra, doubted != "")
		return true
	}
	return mark == "" && doubted == ""
}

// readTail takes the sense of the name ("complex", "s.l.") and the author.
func (p *parser) readTail() bool {
	var sense []string
	for senseWords[letters(p.peek())] && len(p.rest) > 0 {
		sense = append(sense, p.next())
	}
	if len(sense) > 0 && p.qualifier == "" {
		p.qualifier = strings.Join(sense, " ")
	}
	if len(p.rest) > 0 && p.rest[len(p.rest)-1] == "?" {
		p.rest = p.rest[:len(p.rest)-1]
		p.doubtLast()
	}
	author := strings.Join(p.rest, " ")
	if author == "" {
		return true
	}
	if p.loose || !isAuthor(p.rest) {
		return false
	}
	p.author = author
	return true
}
