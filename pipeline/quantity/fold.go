package quantity

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// nbsp stands for every blank that is only ever used inside a number.
const nbsp = '\u00a0'

// plainer maps look-alikes to the characters that the reader knows. A fraction
// written as one character keeps its own bar, U+2044: it is never two numbers.
var plainer = map[rune]string{
	'\u2212': "-", '\u2010': "-", '\u2011': "-", '\u2012': "-", '\u2013': "-",
	'\u2014': "-", '\u2015': "-", '\ufe63': "-",
	'\u2032': "'", '\u2019': "'", '\u2018': "'", '\u00b4': "'", '\u02b9': "'",
	'\u2033': `"`, '\u201d': `"`, '\u201c': `"`, '\u02ba': `"`,
	'\u2009': string(nbsp), '\u202f': string(nbsp), '\u2007': string(nbsp), '\u2008': string(nbsp),
	'\u00a0': string(nbsp),
	'\u2215': "/", '\u2236': ":",
	'\u2264': "<=", '\u2265': ">=", '\u2a7d': "<=", '\u2a7e': ">=",
	'\u2248': "~", '\u223c': "~", '\u2243': "~",
	'\u066b': ".", '\u066c': "'",
	'\u2026': "...", '\u00d7': "x",
	'\u200b': "", '\ufeff': "", '\u200e': "", '\u200f': "", '\u00ad': "",
	'½': " 1⁄2", '⅓': " 1⁄3", '⅔': " 2⁄3", '¼': " 1⁄4", '¾': " 3⁄4",
	'⅛': " 1⁄8", '⅜': " 3⁄8", '⅝': " 5⁄8", '⅞': " 7⁄8",
	'⅕': " 1⁄5", '⅖': " 2⁄5", '⅗': " 3⁄5", '⅘': " 4⁄5", '⅙': " 1⁄6", '⅚': " 5⁄6",
}

// clean brings look-alike characters to plain ones and trims the ends. Blanks
// of every kind become one blank, except that a no-break or thin blank between
// two digits stays a nbsp, since only a digit group is written so.
func clean(text string) string {
	s := strings.TrimSpace(text)
	if isPlain(s) {
		return s
	}
	var b strings.Builder
	b.Grow(len(s))
	for _, r := range s {
		if p, ok := plainer[r]; ok {
			b.WriteString(p)
			continue
		}
		switch {
		case r >= 0xff01 && r <= 0xff5e: // full-width forms of ASCII
			b.WriteRune(r - 0xfee0)
		case unicode.IsSpace(r):
			b.WriteByte(' ')
		case r > unicode.MaxASCII && unicode.Is(unicode.Nd, r):
			b.WriteByte(digitOf(r))
		case unicode.IsControl(r) || r == utf8.RuneError:
			b.WriteByte(' ')
		default:
			b.WriteRune(r)
		}
	}
	return oneBlank(b.String())
}

// isPlain reports whether s is printable ASCII without double blanks.
func isPlain(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < ' ' || s[i] > '~' || s[i] == ' ' && s[i-1] == ' ' {
			return false
		}
	}
	return true
}

// digitOf returns the ASCII digit of a decimal digit of any script. The digits
// of a script are in one run from zero to nine.
func digitOf(r rune) byte {
	n := 0
	for n < 9 && unicode.Is(unicode.Nd, r-rune(n)-1) {
		n++
	}
	return byte('0' + n)
}

func oneBlank(s string) string {
	var b strings.Builder
	b.Grow(len(s))
	rs := []rune(strings.TrimSpace(s))
	for i, r := range rs {
		if r == nbsp && !(i > 0 && i+1 < len(rs) && isDigit(rs[i-1]) && isDigit(rs[i+1])) {
			r = ' '
		}
		if r == ' ' && i > 0 && (rs[i-1] == ' ' || rs[i-1] == nbsp && strings.HasSuffix(b.String(), " ")) {
			continue
		}
		b.WriteRune(r)
	}
	return strings.TrimSpace(b.String())
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// fold makes words comparable: lower case, no accents, no blanks, no dots.
func fold(s string) string {
	for i := 0; i < len(s); i++ {
		if s[i] >= utf8.RuneSelf {
			return foldLetters(norm.NFD.String(s))
		}
	}
	b := make([]byte, 0, len(s))
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c == '.' || c == ' ':
		case 'A' <= c && c <= 'Z':
			b = append(b, c+'a'-'A')
		default:
			b = append(b, c)
		}
	}
	return string(b)
}

// foldLetters folds letters of any script, accents standing behind them.
func foldLetters(s string) string {
	var b strings.Builder
	b.Grow(len(s))
	for _, r := range s {
		switch {
		case r == '.' || r == ' ' || r == nbsp || unicode.Is(unicode.Mn, r):
		case r == 'ß':
			b.WriteString("ss")
		case r == '\u00b5':
			b.WriteRune('\u03bc')
		default:
			b.WriteRune(unicode.ToLower(r))
		}
	}
	return b.String()
}
