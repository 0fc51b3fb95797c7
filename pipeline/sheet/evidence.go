package sheet

import (
	"bytes"
	_ "embed"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"
)

// evidence says how well a stretch of bytes reads in one encoding.
type evidence struct {
	sum    float64
	count  int    // characters beyond ASCII
	text   []byte // the stretch decoded
	sample string // first word with a character beyond ASCII
}

func (v evidence) mean() float64 {
	if v.count == 0 {
		return 0
	}
	return v.sum / float64(v.count)
}

// weigh decodes a stretch and judges each character beyond ASCII by its
// neighbours: an accented letter belongs inside a word and in the case of the
// letters around it, a degree sign behind a digit, a quotation mark at the
// edge of a word. A wrong encoding puts signs into words and capitals into
// their middle ("Montr‚al", "MontrŽal"). Letters that are where they may
// count in full if they belong to the one language that has most of them.
func weigh(window []byte, e encodingOf) evidence {
	text, err := e.decodeAll(window)
	v := evidence{text: text}
	if err != nil {
		v.sum, v.count = -3, 1
		return v
	}
	rs := bytes.Runes(text)
	at := func(i int) rune {
		if i < 0 || i >= len(rs) {
			return ' '
		}
		return rs[i]
	}
	letters := map[rune]int{}
	for i, r := range rs {
		if r < utf8.RuneSelf {
			continue
		}
		if v.count == 0 {
			v.sample = wordAt(rs, i)
		}
		v.count++
		w, latin := plausible(at(i-2), at(i-1), r, at(i+1), at(i+2))
		if v.sum += w; latin {
			letters[unicode.ToLower(r)]++
		}
	}
	v.sum += inOneLanguage(letters)
	return v
}

//go:embed alphabets.csv
var alphabetTable string

// alphabets are the letters beyond ASCII of each language.
var alphabets = sync.OnceValue(func() []string {
	var out []string
	for line := range strings.Lines(alphabetTable) {
		if _, letters, ok := strings.Cut(strings.TrimSpace(line), "\t"); ok {
			out = append(out, letters)
		}
	}
	return out
})

// commonLetter is what a letter of every alphabet weighs more than one of none:
// enough to tell "Étang" from "êtang", and "Muñoz" from "Muðoz".
const commonLetter = 0.2

// inAlphabets returns the share of the alphabets that have a letter.
var inAlphabets = sync.OnceValue(func() map[rune]float64 {
	out := map[rune]float64{}
	for _, alphabet := range alphabets() {
		for _, r := range alphabet {
			out[r] += 1 / float64(len(alphabets()))
		}
	}
	return out
})

// inOneLanguage weighs letters: 1 for each that the language with most of them
// uses, 0.4 for each of the others, and a little more for those that many
// languages use.
func inOneLanguage(letters map[rune]int) float64 {
	best, all, common := 0, 0, 0.0
	for r, n := range letters {
		all += n
		common += float64(n) * inAlphabets()[r]
	}
	for _, alphabet := range alphabets() {
		n := 0
		for _, r := range alphabet {
			n += letters[r]
		}
		best = max(best, n)
	}
	return float64(best) + 0.4*float64(all-best) + commonLetter*common
}

func (e encodingOf) decodeAll(b []byte) ([]byte, error) {
	if e.charmap != nil {
		return e.charmap.NewDecoder().Bytes(b)
	}
	return e.other.NewDecoder().Bytes(b)
}

func wordAt(rs []rune, i int) string {
	inWord := func(r rune) bool { return !unicode.IsSpace(r) && !strings.ContainsRune(",;|\"", r) }
	from, to := i, i
	for from > 0 && i-from < 20 && inWord(rs[from-1]) {
		from--
	}
	for to < len(rs) && to-i < 20 && inWord(rs[to]) {
		to++
	}
	return string(rs[from:to])
}

// plausible judges one character by the two on either side: 1 is what one
// expects, 0 is no evidence, below 0 is evidence against. A Latin letter in a
// place where it may be is left to be weighed with the others.
func plausible(b2, b1, r, a1, a2 rune) (weight float64, latin bool) {
	left, right := unicode.IsLetter(b1), unicode.IsLetter(a1)
	switch {
	case r == utf8.RuneError || (r >= 0x80 && r < 0xa0):
		return -3, false
	case unicode.IsLetter(r) && r != 'µ' && r != 'º' && r != 'ª':
		return letter(b2, b1, r, a1, a2)
	case r == '’' || r == '‘':
		return apostrophe(left, a1, right), false
	}
	return sign(b2, b1, r, a1, left, right), false
}

func letter(b2, b1, r, a1, a2 rune) (weight float64, latin bool) {
	left, right := unicode.IsLetter(b1), unicode.IsLetter(a1)
	switch {
	case unicode.In(r, eastAsian...):
		return eastAsianLetter(b1, r, a1), false
	case unicode.IsDigit(b1) || unicode.IsDigit(a1):
		return -1, false
	case !left && !right:
		return -0.3, false
	case unicode.IsUpper(r) && unicode.IsLower(b1):
		return -1.5, false
	case unicode.IsUpper(r) && left && unicode.IsLower(a1):
		return -1.2, false
	case unicode.IsLower(r) && unicode.IsUpper(a1):
		return -1.5, false
	case unicode.IsLower(r) && unicode.IsUpper(b1) && unicode.IsUpper(b2):
		return -1.2, false
	case !unicode.Is(unicode.Latin, r):
		return foreignLetter(b1, r, a1), false
	case latinForeign(b1) || latinForeign(a1):
		return -1.5, false
	case runOfAccents(b2, b1, r, a1, a2):
		return -1, false
	}
	return 0, true
}

var eastAsian = []*unicode.RangeTable{unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Hangul}

// inSheets are letters of Chinese and Japanese field sheets: of days, numbers, sexes,
// places, sizes and remarks (common practice).
const inSheets = "年月日号號番性别別雄雌体體長长重头頭尾足眼高宽寬幅径徑水地点點采採集编編备備注註考"

// eastAsianLetter judges a Chinese, Japanese or Korean letter: hardly anybody mixes
// Korean with Chinese ones within a word, or narrow kana with others.
func eastAsianLetter(b1, r, a1 rune) float64 {
	narrow := func(x rune) bool { return x >= 0xff00 }
	for _, x := range []rune{b1, a1} {
		if unicode.In(x, eastAsian...) && (unicode.Is(unicode.Hangul, x) != unicode.Is(unicode.Hangul, r) || narrow(x) != narrow(r)) {
			return -1.5
		}
	}
	if unicode.Is(unicode.Han, r) && !strings.ContainsRune(inSheets, r) {
		return 0.5
	}
	return 1
}

// foreignLetter judges a letter of another script than Latin: its neighbours
// are of the same script.
func foreignLetter(b1, r, a1 rune) float64 {
	for _, script := range []*unicode.RangeTable{unicode.Cyrillic, unicode.Greek, unicode.Hebrew, unicode.Arabic} {
		if unicode.Is(script, r) {
			if (unicode.IsLetter(b1) && !unicode.Is(script, b1)) || (unicode.IsLetter(a1) && !unicode.Is(script, a1)) {
				return -1.5
			}
			return 0.8
		}
	}
	return 0.7
}

func latinForeign(r rune) bool { return unicode.IsLetter(r) && !unicode.Is(unicode.Latin, r) }

// runOfAccents sees three letters beyond ASCII in a row, which languages in
// Latin script do not have.
func runOfAccents(b2, b1, r, a1, a2 rune) bool {
	high := func(x rune) bool { return x >= utf8.RuneSelf && unicode.IsLetter(x) }
	return high(b1) && high(a1) || high(b2) && high(b1) || high(a1) && high(a2)
}

func apostrophe(left bool, next rune, right bool) float64 {
	switch {
	case left && right && strings.ContainsRune("stdmrlv", next):
		return 1.5
	case left && right:
		return 1
	case left || right:
		return 0.5
	}
	return 0
}

func sign(b2, b1, r, a1 rune, left, right bool) float64 {
	digit := unicode.IsDigit(b1)
	switch {
	case strings.ContainsRune("“”„«»", r):
		if left && right {
			return -1
		}
		return 0.9
	case strings.ContainsRune("°ºª", r):
		abbreviated := left && !right && !unicode.IsLetter(b2) // Nº, Mª, N°
		if digit && r != 'ª' || abbreviated || strings.ContainsRune(" ([", b1) && strings.ContainsRune("CFNSEW", a1) {
			return 1.2
		}
		return -0.5
	case r == 'µ' && !left && strings.ContainsRune("mlgS", a1):
		return 1.2
	case strings.ContainsRune("½¼¾²³", r):
		if left && right {
			return -1.2
		}
		return 0.7
	case left && right && r != '\u00a0' && r != '–' && r != '—':
		return -1.4
	case strings.ContainsRune("±×µ–—…·•€£§\u00a0♂♀", r):
		return 0.6
	}
	return -0.5
}
