package place

import (
	"cmp"
	"fmt"
	"math/big"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
)

// metresPer returns the length of a unit in metres, exactly: the international
// foot of 0.3048 m, the fathom of six feet, the yard of three (1959 agreement).
var metresPer = map[string]string{
	"m": "1", "metre": "1", "metres": "1", "meter": "1", "meters": "1", "metro": "1", "metros": "1", "mtr": "1", "mts": "1", "mt": "1",
	"mètre": "1", "mètres": "1", "masl": "1", "mamsl": "1", "msnm": "1", "mnn": "1",
	"km": "1000", "cm": "0.01",
	"ft": "0.3048", "feet": "0.3048", "foot": "0.3048", "fuss": "0.3048", "pies": "0.3048", "'": "0.3048", "ftasl": "0.3048", "[ft_i]": "0.3048",
	"fathom": "1.8288", "fathoms": "1.8288", "ftm": "1.8288", "fth": "1.8288", "fm": "1.8288", "[fth_i]": "1.8288",
	"yd": "0.9144", "yard": "0.9144", "yards": "0.9144", "[yd_i]": "0.9144",
}

// ParseElevation reads an elevation or a range of elevations to metres as
// text, digit for digit: the conversion from feet is exact and not rounded. A
// single value is minimum and maximum. unit is the unit of a number that has
// none of its own, "" if that is not known: such a number is a problem. decimal is the
// decimal mark of the column, 0 if that is not known.
func ParseElevation(text, unit string, decimal byte) (minimum, maximum string, problems []record.Problem) {
	return heights{name: "elevation", lowest: -450, highest: 8849, fillLow: true, units: units{unit, decimal}}.read(text)
}

// ParseDepth reads a depth or a range of depths below the surface of the water
// to metres, as ParseElevation does.
func ParseDepth(text, unit string, decimal byte) (minimum, maximum string, problems []record.Problem) {
	return heights{name: "depth", lowest: 0, highest: 11000, units: units{unit, decimal}}.read(text)
}

// heights reads one of the two kinds. Lowest and highest are the ends of what
// there is on Earth, in metres, roughly (common knowledge).
type heights struct {
	name            string
	lowest, highest float64
	fillLow         bool // "minimum 100 m" alone stands for both ends
	units
}

// units is what the numbers of a column are in.
type units struct {
	stated  string // the unit of a number that has none of its own
	decimal byte   // the decimal mark
}

var (
	heightNoise = pattern.Of(`(?i)\b(?:elevation|elev|altitude|altitud|alt|height|depth|a\.?\s?m?\.?s\.?l\b|above (?:mean )?sea level|s\.?\s?n\.?\s?m\b|ü\.?\s?(?:nn|nhn|m)\b|nn)\.?[:=]?`)
	heightSea   = pattern.Of(`(?i)\bm\.?\s?(?:a\.?\s?m?\.?\s?s\.?\s?l|s\.?\s?n\.?\s?m|ü\.?\s?(?:nn|nhn|m))\.?`)
	heightAbout = pattern.Of(`(?i)^(?:ca\.?|c\.|circa|about|approx\.?|approximately|around|~|≈|±)\s*`)
	heightLimit = pattern.Of(`(?i)^(?:(min(?:imum)?|from|above|over|at least|>|≥)|(max(?:imum)?|up to|below|under|to|at most|<|≤))\.?[:\s]*(.*)$`)
	heightRange = pattern.Of(`^([-+]?[\d.,\s]*\d)\s*([^\d\s\-+±.,]*)\s*(?:-|to|bis|a|à|and|/)\s*([-+]?\d[\d.,\s]*?)\s*([^\d\s\-+±.,]*)\.?$`)
	heightPlus  = pattern.Of(`^([-+]?[\d.,\s]*\d)\s*([^\d\s\-+±.,]*)\s*(?:±|\+/-|\+-)\s*(\d[\d.,\s]*?)\s*([^\d\s\-+±.,]*)\.?$`)
	heightOne   = pattern.Of(`^([-+]?\d[\d.,\s]*?)\s*([^\d\s\-+±.,]*)\.?$`)
)

func (h heights) read(text string) (minimum, maximum string, problems []record.Problem) {
	body := strings.TrimSpace(unify(text))
	if body == "" {
		return "", "", nil
	}
	fail := func(rule string, level record.Level, format string, args ...any) {
		problems = append(problems, record.Problem{Rule: rule, Level: level, Reason: fmt.Sprintf(format, args...)})
	}
	body = heightSea().ReplaceAllString(body, "m ")
	body = strings.TrimSpace(heightNoise().ReplaceAllString(body, " "))
	if short := heightAbout().ReplaceAllString(body, ""); short != body {
		body = short
		fail(h.name+"-about", record.Note, "%q is marked as approximate", text)
	}
	limit := 0
	if m := heightLimit().FindStringSubmatch(body); m != nil && m[3] != "" {
		if limit = 1; m[2] != "" {
			limit = -1
		}
		body = strings.TrimSpace(heightNoise().ReplaceAllString(m[3], " "))
	}
	low, high, err := h.bounds(body)
	switch {
	case err != nil:
		fail(h.name+"-unread", record.Warning, "%s %q cannot be read: %v", h.name, text, err)
		return "", "", problems
	case limit < 0 || (limit > 0 && !h.fillLow):
		fail(h.name+"-one-sided", record.Warning, "%q gives only one end of the %s", text, h.name)
		return "", "", problems
	case limit > 0:
		fail(h.name+"-one-sided", record.Note, "%q gives only one end of the %s: used for both", text, h.name)
	}
	if low.Cmp(high) > 0 {
		low, high = high, low
		fail(h.name+"-reversed", record.Note, "%q is written from the higher to the lower value", text)
	}
	l, _ := low.Float64()
	u, _ := high.Float64()
	if l < h.lowest || u > h.highest {
		fail(h.name+"-range", record.Error, "%q is %g to %g m, outside the possible range of %g to %g m for %s", text, l, u, h.lowest, h.highest, h.name)
		return "", "", problems
	}
	return exact(low), exact(high), problems
}

// bounds reads "120-150 m", "120 m to 150 m", "1200 ± 10 ft" or "1,200 ft" to
// exact metres. The unit behind the last number holds for one before it.
func (u units) bounds(body string) (low, high *big.Rat, err error) {
	if m := heightPlus().FindStringSubmatch(body); m != nil {
		mid, err1 := u.inMetres(m[1], m[2], m[4])
		off, err2 := u.inMetres(m[3], m[4], m[2])
		if err1 != nil || err2 != nil {
			return nil, nil, cmp.Or(err1, err2)
		}
		return new(big.Rat).Sub(mid, off), new(big.Rat).Add(mid, off), nil
	}
	if m := heightOne().FindStringSubmatch(body); m != nil {
		low, err = u.inMetres(m[1], m[2], "")
		return low, low, err
	}
	if m := heightRange().FindStringSubmatch(body); m != nil {
		low, err1 := u.inMetres(m[1], m[2], m[4])
		high, err2 := u.inMetres(m[3], m[4], m[2])
		return low, high, cmp.Or(err1, err2)
	}
	return nil, nil, fmt.Errorf("want a number or a range with its unit, such as 120-150 m")
}

// maxDigits is how many characters a number may have: as many as a program prints of a
// stored number, and some more.
const maxDigits = 32

// inMetres converts one number. The unit is its own, else its neighbour's,
// else the stated one.
func (u units) inMetres(number, own, neighbour string) (*big.Rat, error) {
	unit := cmp.Or(own, neighbour, u.stated)
	if unit == "" {
		return nil, fmt.Errorf("no unit is written: it could be metres or feet")
	}
	factor, ok := metresPer[foldWord(unit)]
	if !ok {
		return nil, fmt.Errorf("unit %q is not known", unit)
	}
	digits, err := plainNumber(number, u.decimal)
	if err != nil {
		return nil, err
	}
	v, ok1 := new(big.Rat).SetString(digits)
	f, ok2 := new(big.Rat).SetString(factor)
	if !ok1 || !ok2 || len(digits) > maxDigits {
		return nil, fmt.Errorf("%q is not a number", number)
	}
	return v.Mul(v, f), nil
}

var (
	thousands = pattern.Of(`^[-+]?\d{1,3}(?:[, ]\d{3})+(?:\.\d+)?$`)
	decimals  = pattern.Of(`^[-+]?\d+(?:[.,]\d+)?$`)
	dotted    = pattern.Of(`^[-+]?[1-9]\d{0,2}\.\d{3}$`)
)

// plainNumber brings 1,200 and 1 200 to 1200 and 12,5 to 12.5. A point with
// three digits behind it may part thousands or decimals and is not read, unless the
// decimal mark of the column is known.
func plainNumber(s string, decimal byte) (string, error) {
	s = strings.TrimSpace(s)
	switch {
	case thousands().MatchString(s):
		return strings.NewReplacer(",", "", " ", "").Replace(s), nil
	case dotted().MatchString(s) && decimal == ',':
		return strings.Replace(s, ".", "", 1), nil
	case dotted().MatchString(s) && decimal == 0:
		return "", fmt.Errorf("%s may be %s or %s", s, strings.Replace(s, ".", "", 1), strings.TrimRight(s, "0"))
	case decimals().MatchString(s):
		return strings.Replace(s, ",", ".", 1), nil
	}
	return "", fmt.Errorf("%q is not a number", s)
}

// exact writes a number of metres without rounding.
func exact(r *big.Rat) string {
	s := r.FloatString(10)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}
