package vocabulary

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// letters that do not come apart into a base letter and a mark.
var plain = strings.NewReplacer("ß", "ss", "æ", "ae", "œ", "oe", "ø", "o", "ł", "l", "đ", "d", "ð", "d", "þ", "th", "ı", "i")

// the two ways in which German keyboards without umlauts write them.
var umlauts = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "Ä", "Ae", "Ö", "Oe", "Ü", "Ue")

// Fold reduces text to what a look-up compares: small letters and digits, with
// accents, spaces and punctuation gone; the signs of the sexes stay. Text of
// marks alone ("?", "+") keeps its marks.
func Fold(text string) string {
	if s := foldASCII(text); s != "" {
		return s
	}
	if s := fold(text, bare); s != "" {
		return s
	}
	return fold(text, unicode.IsGraphic)
}

// FoldEach folds each of some words.
func FoldEach(words []string) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = Fold(w)
	}
	return out
}

// foldASCII is Fold of text that is ASCII and not marks alone; else "".
func foldASCII(text string) string {
	b := make([]byte, 0, len(text))
	for i := range len(text) {
		switch c := text[i]; {
		case c >= utf8.RuneSelf:
			return ""
		case 'A' <= c && c <= 'Z':
			b = append(b, c+'a'-'A')
		case 'a' <= c && c <= 'z', '0' <= c && c <= '9':
			b = append(b, c)
		}
	}
	return string(b)
}

func bare(r rune) bool {
	return unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("♂♀⚥⚲", r)
}

func fold(text string, keep func(rune) bool) string {
	small := func(r rune) rune {
		if unicode.Is(unicode.Mn, r) || unicode.IsSpace(r) || !keep(r) {
			return -1
		}
		return unicode.ToLower(r)
	}
	return plain.Replace(strings.Map(small, norm.NFKD.String(strings.ToValidUTF8(text, "\ufffd"))))
}

// spellings returns the folded form of a word, and of its writing with ae, oe
// and ue where it has umlauts.
func spellings(word string) []string {
	forms := []string{Fold(word)}
	if other := Fold(umlauts.Replace(norm.NFC.String(word))); other != forms[0] {
		forms = append(forms, other)
	}
	return forms
}
