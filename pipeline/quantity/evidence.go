package quantity

import "strings"

// Evidence counts what the numerals of one column say about its decimal mark.
// The zero value is ready. Merge of two halves equals adding every cell to one.
type Evidence struct {
	Point, Comma   int // numerals that can only be read with this decimal mark
	PointOrGroup   int // "1.234": a decimal point or a group
	CommaOrGroup   int // "1,234": a decimal comma or a group
	PointsAreGroup int // "1.234.567"
	CommasAreGroup int // "1,234,567"
	Finest         int // largest denominator of a fraction: 16 for "3 5/16"

	behind [26]int // numerals that a letter by itself touches: the r of "45r"
}

// Add takes one cell into account. Cells without a numeral change nothing.
func (e *Evidence) Add(text string) {
	s := clean(text)
	if plainNumeral(s) && s[len(s)-1] != '.' {
		e.plain(s)
		return
	}
	e.any(s)
}

// plain counts digits with at most one point, not at the end.
func (e *Evidence) plain(s string) {
	switch i := strings.IndexByte(s, '.'); {
	case i < 0:
	case len(s)-i-1 == 3 && i >= 1 && i <= 3 && s[0] != '0':
		e.PointOrGroup++
	default:
		e.Point++
	}
}

func (e *Evidence) any(s string) {
	e.fraction(s)
	e.letter(s)
	for i := 0; i < len(s); {
		if !isDigit(rune(s[i])) && !(i+1 < len(s) && (s[i] == '.' || s[i] == ',') && isDigit(rune(s[i+1]))) {
			i++
			continue
		}
		run := digitRun(s[i:])
		if run == "" {
			i++
			continue
		}
		e.count(run)
		i += len(run)
	}
}

func (e *Evidence) count(run string) {
	_, _, m := readMarks(run, 0)
	switch {
	case m.bad:
	case m.certain && m.decimal == '.':
		e.Point++
	case m.certain && m.decimal == ',':
		e.Comma++
	case m.certain && m.group == '.':
		e.PointsAreGroup++
	case m.certain && m.group == ',':
		e.CommasAreGroup++
	case m.unclear:
		e.CommaOrGroup++
	case m.decimal == '.':
		e.PointOrGroup++
	}
}

// fraction looks for the parts that a ruler or a scale is read to.
func (e *Evidence) fraction(s string) {
	for i := 1; i+1 < len(s); i++ {
		if s[i] != '/' && !strings.HasPrefix(s[i:], bar) {
			continue
		}
		from := i
		for from > 0 && isDigit(rune(s[from-1])) {
			from--
		}
		num, rest := leadInt(s[from:])
		rest, _ = cutBar(rest)
		if den, rest := leadInt(rest); properFraction(num, den) && !strings.HasPrefix(rest, "/") && (from == 0 || s[from-1] != '/') {
			e.Finest = max(e.Finest, den)
		}
	}
}

// Part returns the finest part that the column is written in, 1/16 for a column
// of sixteenths, or 0 if it holds no fraction.
func (e Evidence) Part() float64 {
	if e.Finest == 0 {
		return 0
	}
	return 1 / float64(e.Finest)
}

// Zeros counts the numbers of a column, and the zeros among them.
type Zeros struct{ zeros, numbers int }

// Add takes one cell into account.
func (z *Zeros) Add(text string) {
	if strings.ContainsAny(text, "0123456789") {
		z.numbers++
		if strings.Trim(text, "0.,") == "" {
			z.zeros++
		}
	}
}

// Rare reports whether a zero is a slip rather than what many animals have: a twentieth
// of the numbers at most, or a single one.
func (z Zeros) Rare() bool { return z.zeros <= max(1, z.numbers/20) }

// letter looks for a number with one letter behind it.
func (e *Evidence) letter(s string) {
	if n := len(s) - 1; n > 0 {
		if l := s[n] | 0x20; 'a' <= l && l <= 'z' && plainNumeral(strings.Replace(s[:n], ",", ".", 1)) {
			e.behind[l-'a']++
		}
	}
}

// minLetters is how often a letter is behind numbers of a column that is a
// mark of the team's own and no slip of the hand.
const minLetters = 3

// Letters returns the small letters that are marks of the team's own behind
// numbers of the column, as "r" for a tail that grew anew.
func (e Evidence) Letters() string {
	var out []byte
	for i, n := range e.behind {
		if n >= minLetters {
			out = append(out, byte('a'+i))
		}
	}
	return string(out)
}

// Decimal returns the column's decimal mark, '.' or ',', or 0 if nothing speaks
// for either. ambiguous is true if cells remain that the column does not
// decide: it holds both marks and numerals such as 1,234, or nothing but
// those. Numerals that can only be read one way are read that way whatever the
// mark of the column.
func (e Evidence) Decimal() (mark byte, ambiguous bool) {
	point, comma := e.Point+e.CommasAreGroup, e.Comma+e.PointsAreGroup
	open := e.PointOrGroup + e.CommaOrGroup
	switch {
	case point > 0 && comma == 0:
		return '.', false
	case comma > 0 && point == 0:
		return ',', false
	case point > 0 && comma > 0:
		return 0, open > 0
	case e.PointOrGroup > 0 && e.CommaOrGroup == 0:
		return '.', true
	}
	return 0, open > 0
}
