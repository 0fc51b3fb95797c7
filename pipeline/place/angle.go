package place

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// angle is one coordinate as written.
type angle struct {
	value   float64 // degrees; the sign is applied, for the letters S and W too
	step    float64 // degrees: the last place written
	parts   int     // 1 degrees, 2 with minutes, 3 with seconds
	axis    byte    // 'N' for latitude, 'E' for longitude, 0 if not said
	letter  byte    // N, S, E, W or O as written, 0 for none
	signed  bool
	west    bool   // a word of it is of a language in which O is west
	east    bool   // … east
	first   string // the digits of the first number
	invalid error  // read, but not possible: minutes above 59, beyond 180 degrees
	second  bool   // of the second of two cells
}

// errHalf says that an angle has no number.
var errHalf = errors.New("no number is written")

// compose reads tokens as one angle. The error says what does not fit; an
// angle that fits but is impossible has invalid set.
func compose(tokens []token) (angle, error) {
	c := composer{}
	for i, t := range tokens {
		if err := c.take(t, i, tokens); err != nil {
			return angle{}, err
		}
	}
	if len(c.parts) == 0 {
		return angle{}, errHalf
	}
	return c.finish()
}

type composer struct {
	a        angle
	negative bool
	parts    []token
	marks    [3]bool
	wordMark bool // the minute mark was a word: "12m"
	closed   bool // a compass letter was behind the numbers
	linked   bool
}

func (c *composer) take(t token, i int, all []token) error {
	if t.word {
		w := foldWord(t.text)
		c.a.west = c.a.west || westWords[w]
		c.a.east = c.a.east || eastWords[w]
	}
	switch t.kind {
	case separator:
		return fmt.Errorf("%q is inside one coordinate", t.text)
	case axisLabel:
		if c.a.axis != 0 && c.a.axis != t.letter {
			return errors.New("latitude and longitude are both named")
		}
		c.a.axis = t.letter
	case sign:
		if len(c.parts) > 0 || c.a.signed {
			return fmt.Errorf("%q is inside one coordinate", t.text)
		}
		c.a.signed, c.negative = true, t.text == "-"
	case link:
		return c.link(t, i, all)
	case compass:
		return c.compass(t)
	case numberToken:
		return c.number(t)
	default:
		return c.mark(t)
	}
	return nil
}

// link takes a hyphen or colon. A hyphen before the first number is a minus.
func (c *composer) link(t token, i int, all []token) error {
	if len(c.parts) == 0 {
		if t.text == "-" {
			c.a.signed, c.negative = true, true
		}
		return nil // "Lat: 45.1"
	}
	if i+1 >= len(all) || all[i+1].kind != numberToken {
		return fmt.Errorf("%q is not followed by a number", t.text)
	}
	c.linked = true
	return nil
}

func (c *composer) compass(t token) error {
	if t.letter == 'S' && strings.EqualFold(t.text, "s") && len(c.parts) == 3 && !c.marks[2] && c.wordMark {
		return c.mark(token{kind: secondMark, text: t.text, word: true}) // 45d12m30s
	}
	if c.a.letter != 0 {
		return fmt.Errorf("two compass letters, %c and %s", c.a.letter, t.text)
	}
	want := byte('E')
	if t.letter == 'N' || t.letter == 'S' {
		want = 'N'
	}
	if c.a.axis != 0 && c.a.axis != want {
		return fmt.Errorf("%s does not match the axis given", t.text)
	}
	c.a.letter, c.a.axis = t.letter, want
	c.closed = len(c.parts) > 0
	return nil
}

func (c *composer) number(t token) error {
	switch n := len(c.parts); {
	case c.closed:
		return fmt.Errorf("%s comes after the compass letter", t.text)
	case n == 3:
		return fmt.Errorf("%s is one number too many", t.text)
	case n > 0 && c.parts[n-1].fraction:
		return fmt.Errorf("%s comes after a number with decimals", t.text)
	case n > 0 && !t.spaced && !c.linked && !c.marks[n-1]:
		return fmt.Errorf("%s is not separated from the number before it", t.text)
	}
	c.linked = false
	c.parts = append(c.parts, t)
	return nil
}

func (c *composer) mark(t token) error {
	i := int(t.kind - degreeMark)
	switch {
	case len(c.parts) == 0 || c.closed:
		return fmt.Errorf("%q does not follow a number", t.text)
	case i != len(c.parts)-1:
		return fmt.Errorf("%q marks the wrong number", t.text)
	case c.marks[i]:
		return fmt.Errorf("%q is written twice", t.text)
	}
	c.marks[i] = true
	if i == 1 {
		c.wordMark = t.word
	}
	return nil
}

func (c *composer) finish() (angle, error) {
	if len(c.parts) == 1 && c.a.letter != 0 && c.marks == [3]bool{} {
		if whole := strings.SplitN(c.parts[0].text, ".", 2)[0]; len(whole) > 3 {
			parts, err := unpack(c.parts[0], whole, c.a.axis == 'E')
			if err != nil {
				return angle{}, err
			}
			c.parts = parts
		}
	}
	a := c.a
	a.parts = len(c.parts)
	scale := 1.0
	for i, t := range c.parts {
		v, err := strconv.ParseFloat(t.text, 64)
		if err != nil {
			return angle{}, fmt.Errorf("%s is not a number", t.text)
		}
		a.value += v / scale
		a.step = math.Pow(10, -float64(t.decimals)) / scale
		if i > 0 && v >= 60 && a.invalid == nil {
			a.invalid = fmt.Errorf("%s %s: minutes and seconds stay below 60", t.text, [...]string{"", "minutes", "seconds"}[i])
		}
		scale *= 60
	}
	a.first = c.parts[0].text
	a.limit()
	return a, c.direct(&a)
}

// limit marks an angle that no place has.
func (a *angle) limit() {
	most := 180.0
	if a.axis == 'N' {
		most = 90
	}
	if a.value <= most || a.invalid != nil {
		return
	}
	a.invalid = fmt.Errorf("%s degrees: %s", a.first, map[bool]string{true: "latitudes go up to 90", false: "longitudes go up to 180"}[a.axis == 'N'])
}

// beyondHalf reports whether an angle is a longitude where these are counted up to 360
// degrees.
func (a *angle) beyondHalf() bool {
	return a.value > 180 && a.value <= 360 && a.parts == 1 && a.letter == 0 && !a.signed
}

// direct applies sign and letter.
func (c *composer) direct(a *angle) error {
	south := a.letter == 'S' || a.letter == 'W'
	if c.negative && (a.letter == 'N' || a.letter == 'E') {
		return fmt.Errorf("the minus sign and the letter %c contradict each other", a.letter)
	}
	if a.letter == 'O' && c.negative {
		a.letter, south = 'W', true
	}
	if c.negative || south {
		a.value = -a.value
	}
	return nil
}

// unpack cuts 451230 or 0754030.5 into degrees, minutes and seconds.
func unpack(t token, whole string, longitude bool) ([]token, error) {
	degrees := 2
	switch n := len(whole); {
	case n == 7 || (n == 5 && (longitude || whole[0] == '0')):
		degrees = 3
	case n != 4 && n != 6:
		return nil, fmt.Errorf("%s has %d digits: degrees, minutes and seconds written together have 4 or 6, or 5 or 7 with three-digit degrees", whole, n)
	}
	var parts []token
	for start, end := 0, degrees; start < len(whole); start, end = end, end+2 {
		parts = append(parts, token{kind: numberToken, text: whole[start:end]})
	}
	if rest := t.text[len(whole):]; rest != "" {
		last := &parts[len(parts)-1]
		last.text += rest
		last.decimals, last.fraction = t.decimals, true
	}
	return parts, nil
}

// settleO decides what a letter O means, from the survey, else from the words
// beside it. It reports false if that stays open.
func (a *angle) settleO(o Options, west, east bool) bool {
	if a.letter != 'O' {
		return true
	}
	switch {
	case o.LetterO == "W" || (o.LetterO == "" && west && !east):
		a.letter, a.value = 'W', -a.value
	case o.LetterO == "E" || (o.LetterO == "" && east && !west):
		a.letter = 'E'
	default:
		return false
	}
	return true
}
