package place

import (
	"fmt"
	"strings"
	"unicode"
)

// kind is the kind of a token.
type kind uint8

const (
	numberToken kind = iota
	degreeMark
	minuteMark
	secondMark
	compass   // letter or word; token.letter is N, S, E, W or O
	axisLabel // "lat", "longitude"; token.letter is N or E
	separator // comma, semicolon, slash, bar, line end, "and"
	sign      // plus or minus before a number
	link      // hyphen or colon between the numbers of one angle
)

type token struct {
	kind     kind
	text     string // digits of a number, with a point; else as written
	decimals int    // digits after the point
	fraction bool   // the number has a point
	letter   byte
	word     bool // a mark written as a word or letter
	spaced   bool // white space was before it
}

// scanner cuts coordinates into tokens.
type scanner struct {
	in     []rune
	at     int
	comma  bool // a comma between digits is a decimal comma
	tokens []token
}

// scan cuts a text into tokens. With comma set, a comma between digits is a
// decimal comma, otherwise it parts the axes. The error names what is not
// understood.
func scan(text string, comma bool) ([]token, error) {
	s := scanner{in: []rune(unify(text)), comma: comma}
	for s.at < len(s.in) {
		spaced := s.skipSpace()
		if s.at >= len(s.in) {
			break
		}
		n := len(s.tokens)
		if err := s.next(); err != nil {
			return nil, err
		}
		if len(s.tokens) > n {
			s.tokens[n].spaced = spaced
		}
	}
	return s.tokens, nil
}

// unify brings the many ways to write marks to one: °, ', ", -.
var unifier = strings.NewReplacer(
	"\u00c2\u00b0", "°", "º", "°", "˚", "°", "⁰", "°", "∘", "°", "*", "°", "℃", "°",
	"''", `"`, "′′", `"`, "’’", `"`, "‘‘", `"`, "´´", `"`, "``", `"`, "ʹʹ", `"`,
	"″", `"`, "”", `"`, "“", `"`, "„", `"`, "ʺ", `"`, "〃", `"`, "¨", `"`,
	"′", "'", "’", "'", "‘", "'", "´", "'", "`", "'", "ʹ", "'", "ʼ", "'", "‛", "'", "＇", "'",
	"−", "-", "–", "-", "—", "-", "‐", "-", "‑", "-", "﹣", "-",
	"，", ",", "；", ";", "：", ":", "\ufeff", "", "\u200b", "", "\u200e", "", "\u200f", "",
)

func unify(text string) string { return unifier.Replace(unifier.Replace(text)) }

func (s *scanner) skipSpace() bool {
	start := s.at
	for s.at < len(s.in) && unicode.IsSpace(s.in[s.at]) && s.in[s.at] != '\n' {
		s.at++
	}
	return s.at > start || start == 0
}

func (s *scanner) peek(ahead int) rune {
	if i := s.at + ahead; i >= 0 && i < len(s.in) {
		return s.in[i]
	}
	return 0
}

func (s *scanner) add(t token) { s.tokens = append(s.tokens, t) }

func (s *scanner) next() error {
	r := s.in[s.at]
	switch {
	case isDigit(r) || (r == '.' && isDigit(s.peek(1))):
		s.number()
	case unicode.IsLetter(r):
		return s.word()
	default:
		return s.symbol(r)
	}
	return nil
}

func (s *scanner) symbol(r rune) error {
	t := token{text: string(r)}
	switch r {
	case '°':
		t.kind = degreeMark
	case '\'':
		t.kind = minuteMark
	case '"':
		t.kind = secondMark
	case ',', ';', '/', '|', '\n':
		t.kind = separator
	case '+':
		t.kind = sign
	case '-':
		t.kind = sign
		if s.betweenNumbers() {
			t.kind = link
		}
	case ':':
		t.kind = link
	case '.', '(', ')', '[', ']':
		s.at++ // "N." and brackets say nothing
		return nil
	default:
		return fmt.Errorf("%q cannot be read", string(r))
	}
	s.at++
	s.add(t)
	return nil
}

// betweenNumbers reports whether a hyphen is right between two digits or
// behind a mark with a digit behind it: 45-12-30, 45°-12'.
func (s *scanner) betweenNumbers() bool {
	before := s.peek(-1)
	return isDigit(s.peek(1)) && (isDigit(before) || before == '°' || before == '\'')
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

func (s *scanner) number() {
	start := s.at
	for isDigit(s.peek(0)) {
		s.at++
	}
	t := token{kind: numberToken, text: string(s.in[start:s.at])}
	if p := s.peek(0); (p == '.' || (p == ',' && s.comma)) && (isDigit(s.peek(1)) || p == '.') {
		s.at++
		from := s.at
		for isDigit(s.peek(0)) {
			s.at++
		}
		t.decimals = s.at - from
		t.fraction = t.decimals > 0
		if t.fraction {
			t.text += "." + string(s.in[from:s.at])
		}
	}
	s.add(t)
}

// word reads a run of letters: a compass word, a mark, a label, or a mark and
// a compass letter run together ("30sN").
func (s *scanner) word() error {
	start := s.at
	for unicode.IsLetter(s.peek(0)) || unicode.Is(unicode.Mn, s.peek(0)) {
		s.at++
	}
	text := string(s.in[start:s.at])
	if t, ok := s.classify(text, start); ok {
		s.add(t)
		return nil
	}
	if r := []rune(text); len(r) > 1 {
		head, ok1 := s.classify(string(r[:len(r)-1]), start)
		if string(r[:len(r)-1]) == "s" || string(r[:len(r)-1]) == "S" {
			head, ok1 = token{kind: secondMark, text: "s", word: true}, true
		}
		tail, ok2 := s.classify(string(r[len(r)-1:]), s.at)
		if ok1 && ok2 && tail.kind == compass && head.kind != compass {
			s.add(head)
			s.add(tail)
			return nil
		}
	}
	if w := foldWord(text); w == "and" || w == "by" || w == "und" || w == "y" || w == "et" {
		s.add(token{kind: separator, text: text})
		return nil
	}
	return fmt.Errorf("%q cannot be read", text)
}

func (s *scanner) classify(text string, start int) (token, bool) {
	w := foldWord(text)
	if text == "o" && s.degreeO(start) {
		return token{kind: degreeMark, text: text, word: true}, true
	}
	if l, ok := compassWords[w]; ok {
		return token{kind: compass, text: text, letter: l, word: true}, true
	}
	if k, ok := markWords[w]; ok {
		return token{kind: k, text: text, word: true}, true
	}
	if l, ok := axisWords[w]; ok {
		return token{kind: axisLabel, text: text, letter: l, word: true}, true
	}
	return token{}, false
}

// degreeO reports whether a small o is a degree sign typed as a letter: it
// is right behind a digit and a further number follows.
func (s *scanner) degreeO(start int) bool {
	if start == 0 || !isDigit(s.in[start-1]) || start+1 >= len(s.in) {
		return false
	}
	for _, r := range s.in[start+1:] {
		if !unicode.IsSpace(r) {
			return isDigit(r)
		}
	}
	return false
}
