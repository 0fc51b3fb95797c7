package place

import (
	"errors"
	"math"
	"strings"
)

// reading is one way to read a text as two angles, in the order written.
type reading struct{ first, second angle }

func (r reading) same(o reading) bool {
	return math.Abs(r.first.value-o.first.value) < 1e-12 && math.Abs(r.second.value-o.second.value) < 1e-12
}

func (r reading) possible() bool {
	return r.first.invalid == nil && r.second.invalid == nil && r.axes() != clash
}

// errLone says that a text holds one coordinate where two are wanted.
var errLone = errors.New("only one coordinate is written")

// ambiguity says that a text can be read as different places.
type ambiguity struct{ one, other string }

func (a ambiguity) Error() string {
	return "it can be read as " + a.one + " or as " + a.other
}

// splitPair reads a text that holds both coordinates. It tries every place
// where the text may part, with commas as decimal commas and as separators,
// and takes the reading that alone makes sense.
func splitPair(text string) (reading, error) {
	var found []reading
	var firstErr error
	lone := false
	for _, comma := range commaModes(text) {
		tokens, err := scan(text, comma)
		if err != nil {
			if firstErr == nil {
				firstErr = err
			}
			continue
		}
		tokens = trimSeparators(tokens)
		if a, err := compose(tokens); err == nil && a.invalid == nil {
			lone = true
		}
		found = append(found, splits(tokens)...)
	}
	if len(found) == 0 {
		switch {
		case lone:
			return reading{}, errLone
		case firstErr != nil:
			return reading{}, firstErr
		}
		return reading{}, errors.New("it cannot be split into a latitude and a longitude")
	}
	best, err := prefer(found)
	if err != nil {
		return reading{}, err
	}
	if lone && best.axes() != told && !strings.ContainsAny(text, ";|/\n") && (best.possible() || !strings.Contains(text, ",")) {
		return reading{}, ambiguity{"one coordinate", "two"}
	}
	return best, nil
}

// commaModes says how commas between digits may be read: not as decimal commas
// where there are decimal points.
func commaModes(text string) []bool {
	r := []rune(text)
	point, comma := false, false
	for i := 1; i+1 < len(r); i++ {
		between := isDigit(r[i-1]) && isDigit(r[i+1])
		point = point || (r[i] == '.' && between)
		comma = comma || (r[i] == ',' && between)
	}
	if point || !comma {
		return []bool{false}
	}
	return []bool{true, false}
}

func trimSeparators(tokens []token) []token {
	for len(tokens) > 0 && tokens[0].kind == separator {
		tokens = tokens[1:]
	}
	for len(tokens) > 0 && tokens[len(tokens)-1].kind == separator {
		tokens = tokens[:len(tokens)-1]
	}
	return tokens
}

// splits returns the readings of the tokens as two angles. A single separator
// parts them; without one every gap is tried, and halves written alike are
// taken before halves written differently.
func splits(tokens []token) []reading {
	var at []int
	for i, t := range tokens {
		if t.kind == separator {
			at = append(at, i)
		}
	}
	var found []reading
	if len(at) > 0 {
		for _, i := range at {
			found = try(found, tokens[:i], tokens[i+1:])
		}
		return found
	}
	for i := 1; i < len(tokens); i++ {
		found = try(found, tokens[:i], tokens[i:])
	}
	var alike []reading
	for _, r := range found {
		if r.first.parts == r.second.parts && r.possible() {
			alike = append(alike, r)
		}
	}
	if len(alike) > 0 {
		return alike
	}
	return found
}

func try(found []reading, left, right []token) []reading {
	a, err := compose(left)
	if err != nil {
		return found
	}
	b, err := compose(right)
	if err != nil {
		return found
	}
	return append(found, reading{a, b})
}

// prefer picks the only possible reading, or says what the readings are.
func prefer(found []reading) (reading, error) {
	var possible []reading
	for _, r := range found {
		if !r.possible() {
			continue
		}
		known := false
		for _, p := range possible {
			known = known || r.same(p)
		}
		if !known {
			possible = append(possible, r)
		}
	}
	switch len(possible) {
	case 0:
		return found[0], nil // the caller says why it is impossible
	case 1:
		return possible[0], nil
	}
	return reading{}, ambiguity{possible[0].String(), possible[1].String()}
}

// String writes the reading in decimal degrees, in the order written.
func (r reading) String() string {
	return decimal(r.first.value, axis{step: r.first.step}.places()) + ", " +
		decimal(r.second.value, axis{step: r.second.step}.places())
}

// axes says whether letters or labels tell which angle is the latitude.
type axesTold uint8

const (
	untold axesTold = iota
	told
	clash // both name the same axis
)

func (r reading) axes() axesTold {
	switch {
	case r.first.axis == 0 && r.second.axis == 0:
		return untold
	case r.first.axis == r.second.axis:
		return clash
	}
	return told
}
