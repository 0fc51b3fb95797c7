package place

import (
	"strings"
	"unicode"

	"spadefoot/pipeline/record/pattern"
)

// HeadingCompass reads the compass letter out of the heading of a column of
// coordinates: W of "Longitude (W)", S of "Coord. S", N of "Latitud norte". The
// letter O is W or E by the language of the other words, else it stays O. rest
// is the heading without it. Where there is no letter, or more than one, compass
// is "".
func HeadingCompass(heading string) (compass, rest string) {
	words := strings.FieldsFunc(heading, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r) })
	var others []string
	var west, east bool
	for _, written := range words {
		w := foldWord(written)
		letter, other := compassWords[w], ""
		if letter == 0 && axisWords[w] == 0 {
			letter, other = compassEnd(w)
		}
		if letter == 0 {
			other = written
			west, east = west || westWords[w], east || eastWords[w]
		}
		if other != "" {
			others = append(others, other)
		}
		switch {
		case letter == 0:
		case compass != "":
			return "", heading
		default:
			compass = string(letter)
		}
	}
	switch {
	case compass == "O" && west && !east:
		compass = "W"
	case compass == "O" && east && !west:
		compass = "E"
	}
	return compass, strings.Join(others, " ")
}

// HeadingZone reads the UTM zone out of the heading of coordinates: 19H of "UTM
// (19H)", 33N of "UTM zone 33N, easting". rest is the heading without it. The
// letter touches the number, and it is not an E, which in a heading is the easting.
func HeadingZone(heading string) (zone, rest string) {
	m := headingZone().FindStringSubmatchIndex(heading)
	if m == nil || !IsZone(heading[m[2]:m[3]]) {
		return "", heading
	}
	return heading[m[2]:m[3]], strings.Join(strings.Fields(heading[:m[0]]+"UTM "+heading[m[1]:]), " ")
}

var headingZone = pattern.Of(`(?i)utm[\s_:,(]*(?:(?:zone|zona|huso|fuseau)[\s_:]*)?(\d{1,2}[cdf-hj-np-x])(?:[^\pL\d]|$)`)

// HeadingAngle reads which coordinate and which part of it a heading names: N
// and minutes of "Lat min". Axis is "" where it names none.
func HeadingAngle(heading string) (axis, part string) {
	for _, written := range strings.FieldsFunc(heading, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsMark(r) }) {
		w := foldWord(written)
		if a := axisWords[w]; a != 0 {
			axis = string(a)
		}
		if k, ok := markWords[w]; ok {
			part = map[kind]string{degreeMark: "degrees", minuteMark: "minutes", secondMark: "seconds"}[k]
		}
	}
	if part == "" {
		return "", ""
	}
	return axis, part
}

// compassEnd takes the letter off a word that it is written together with:
// "LonW".
func compassEnd(word string) (letter byte, axis string) {
	axis = word[:len(word)-1]
	letter = compassWords[word[len(axis):]]
	if axisWords[axis] == 0 || !suits(letter, axisWords[axis]) {
		return 0, ""
	}
	return letter, axis
}

// suits reports whether a compass letter goes with an axis, N or E.
func suits(letter, axis byte) bool {
	if axis == 'N' {
		return letter == 'N' || letter == 'S'
	}
	return letter == 'E' || letter == 'W' || letter == 'O'
}

// headed gives an angle without sign and letter the one that its column's
// heading has.
func (a *angle) headed(compass string, axis byte) bool {
	if compass == "" || a.signed || a.letter != 0 || !suits(compass[0], axis) {
		return false
	}
	a.letter, a.axis = compass[0], axis
	if a.letter == 'S' || a.letter == 'W' {
		a.value = -a.value
	}
	return true
}
