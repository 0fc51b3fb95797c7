package quantity

import (
	"slices"
	"strings"
	"unicode"
)

// HeadingUnit finds the unit in a column heading and returns the heading without
// it: "SVL (mm)", "Mass [g]", "Tibia mm", "peso_g", "Wt./g", "svlMm".
//
// A unit in brackets, or after a slash, is taken if it can be one. A bare unit
// is taken at the end, also before a replicate number ("SVL mm 2"). Spellings
// that are ordinary letters or words as well ("g", "m", "in", "min", "C") are
// taken bare, and capital letters also in brackets, only beside a word that is
// measured in such units: "Mass g" has grams, "Tag g" and "Tibia (L)" have no
// unit. A heading that is nothing but a unit gives ok false, and one of more
// than a thousand bytes, which is prose.
func HeadingUnit(heading string) (code, rest string, ok bool) {
	if len(heading) > longestHeading {
		return "", "", false
	}
	code, rest, ok = headingUnit(clean(heading))
	if !ok || !hasLetter(rest) {
		return "", "", false
	}
	return code, rest, true
}

const longestHeading = 1000

func headingUnit(h string) (code, rest string, ok bool) {
	if code, rest, ok = bracketed(h); ok {
		return code, rest, true
	}
	if i := strings.LastIndexByte(h, '/'); i > 0 {
		if code, rest, ok = bareUnit(h); ok && strings.Contains(h[len(rest):], "/") && !strings.Contains(rest, "/") {
			return code, rest, true // "Cond. µS/cm"
		}
		for j := len(h[:i]); j > 0; j = strings.LastIndexByte(h[:j], '/') {
			if u := headed(h[j+1:], h[:j], false); u != nil {
				if endsInUnit(h[:j]) {
					return "", "", false // "ng/ml" is no unit that is known, and no ml
				}
				return u.code, strings.TrimRight(h[:j], " ,"), true
			}
		}
	}
	if code, rest, ok = bareUnit(h); ok {
		return code, rest, true
	}
	if i := strings.LastIndexAny(h, "(["); i > 0 && strings.HasSuffix(h, map[byte]string{'(': ")", '[': "]"}[h[i]]) {
		if code, rest, ok = bareUnit(strings.TrimSpace(h[:i])); ok {
			return code, rest + " " + h[i:], true // "SVL mm (left)"
		}
	}
	return stuck(h)
}

// endsInUnit reports whether the last word of a text is a unit, or a part of one
// with a prefix: what follows a slash after it is what it is taken per.
func endsInUnit(text string) bool {
	words := strings.FieldsFunc(text, func(r rune) bool { return unicode.IsSpace(r) || r == '_' || r == '(' })
	if len(words) < 2 {
		return false
	}
	last := words[len(words)-1]
	_, known := FindUnit(last)
	return known || slices.Contains(partsOfUnits, last)
}

// partsOfUnits are units that are read only as a part of others, or not at all: UCUM
// 2.2, and px, which counts the points of a picture.
var partsOfUnits = []string{"ng", "pg", "µg", "μg", "ug", "mS", "µS", "μS", "uS", "mmol", "µmol", "nmol", "mol", "dB", "px", "kJ", "J", "IU", "cal", "kcal"}

// stuck finds a unit written onto the last word: RH%, or one of two letters
// after a capital or a digit: SVLmm.
func stuck(h string) (code, rest string, ok bool) {
	for _, u := range []string{"%", "°C", "ºC", "°F"} {
		if name, found := strings.CutSuffix(h, u); found && name != "" {
			code, ok = FindUnit(u)
			return code, name, ok
		}
	}
	n := len(h) - 2
	if n < 2 || !(h[n-1] >= 'A' && h[n-1] <= 'Z' || isDigit(rune(h[n-1]))) {
		return "", "", false
	}
	switch u := h[n:]; u {
	case "mm", "cm", "mg", "kg":
		return u, h[:n], true
	}
	return "", "", false
}

// maxBrackets is the number of brackets of a heading that are looked into.
const maxBrackets = 20

// bracketed looks for a unit in round or square brackets.
func bracketed(h string) (code, rest string, ok bool) {
	brackets := 0
	for i := 0; i < len(h) && brackets < maxBrackets; i++ {
		shut, open := map[byte]byte{'(': ')', '[': ']'}[h[i]]
		if !open {
			continue
		}
		brackets++
		n := strings.IndexByte(h[i:], shut)
		if n < 0 {
			n = len(h) - i
		}
		inside, tail := h[i+1:i+n], ""
		if i+n < len(h) {
			tail = h[i+n+1:]
		}
		before := h[:i]
		if strings.HasPrefix(inside, "in ") || strings.HasPrefix(inside, "en ") {
			if u := headed(inside[3:], before+tail, true); u != nil {
				inside = inside[3:]
			}
		}
		parts := []string{inside}
		if strings.ContainsAny(inside, ",;") {
			parts = strings.FieldsFunc(inside, func(r rune) bool { return r == ',' || r == ';' })
		}
		if first, more, found := strings.Cut(inside, " "); found && headed(inside, before, true) == nil {
			if u := headed(first, before, false); u != nil {
				parts = []string{first, more} // "(m a.s.l.)"
			}
		}
		for k, p := range parts {
			u := headed(p, before+" "+tail, true)
			if u == nil {
				continue
			}
			others := strings.Join(append(append([]string{}, parts[:k]...), parts[k+1:]...), ",")
			if others = strings.TrimSpace(others); others != "" {
				others = string(h[i]) + others + string(shut)
			}
			rest = joinWords(before, others, tail)
			return u.code, rest, rest != ""
		}
	}
	return "", "", false
}

// bareUnit looks for a unit as the last words of the heading, or before a
// number at the end.
func bareUnit(h string) (code, rest string, ok bool) {
	words := headingWords(h)
	n := len(words)
	number := ""
	if n > 2 && isDigits(h[words[n-1].from:words[n-1].to]) {
		number = h[words[n-1].from:words[n-1].to]
		n--
	}
	for k := min(3, n-1); k > 0; k-- {
		first := words[n-k]
		text := strings.TrimRight(h[first.from:words[n-1].to], ".")
		before := h[:words[n-k-1].to]
		m := n - k - 1
		if w := fold(h[words[m].from:words[m].to]); m > 0 && (w == "in" || w == "en" || w == "em") {
			before = h[:words[m-1].to] // "mass in g"
		}
		u := headed(strings.ReplaceAll(text, "_", " "), before, false)
		if u == nil {
			u = perUnit(text, before)
		}
		if u == nil || splitsWords(h, words[n-k-1].to, first.from) && k > 1 {
			continue
		}
		if fold(h[words[n-k-1].from:words[n-k-1].to]) == "per" {
			return "", "", false // "load per mm" is no length
		}
		return u.code, joinWords(before, number, ""), true
	}
	return "", "", false
}

// perUnit returns the unit of two words with an underscore or a point in place of the
// slash, as names in programs have it: DO_mg_L, cond.uS.cm. After what is measured in
// the first of the two units the second word is something else: Mass_g_L is of the left
// side.
func perUnit(text, before string) *unit {
	of, per, ok := strings.Cut(strings.ReplaceAll(text, ".", "_"), "_")
	if first := units().find(of); !ok || first == nil && !slices.ContainsFunc(partsOfUnits, func(part string) bool { return strings.EqualFold(part, of) }) {
		return nil
	} else if first != nil {
		if mine, _ := first.near(units(), before); mine {
			return nil
		}
	}
	return headed(of+"/"+per, before, false)
}

// splitsWords reports whether nothing is between two words, as in svlMm.
func splitsWords(h string, end, start int) bool { return end == start && end < len(h) }

type span struct{ from, to int }

// headingWords splits at blanks, underscores, commas, colons, points, hyphens
// and where a capital follows a small letter.
func headingWords(h string) []span {
	var words []span
	from := -1
	var last rune
	for i, r := range h {
		sep := r == ' ' || strings.ContainsRune("_,:;.-", r)
		switch {
		case sep && from >= 0:
			words, from = append(words, span{from, i}), -1
		case sep:
		case from < 0:
			from = i
		case unicode.IsUpper(r) && (unicode.IsLower(last) || isDigit(last)):
			words, from = append(words, span{from, i}), i
		}
		last = r
	}
	if from >= 0 {
		words = append(words, span{from, len(h)})
	}
	return words
}

// headed returns the unit that text is in a heading whose other words are given,
// or nil. bracket says that it was in brackets.
func headed(text, others string, bracket bool) *unit {
	text = strings.TrimSpace(text)
	t := units()
	u := t.find(text)
	if u == nil {
		return nil
	}
	if u.code == "ms" {
		if speed, _ := t.codes["m/s"].near(t, others); speed {
			return t.codes["m/s"] // wind_ms, as names in programs have it
		}
	}
	key := fold(text)
	if !u.guarded[key] {
		return u
	}
	mine, foreign := u.near(t, others)
	capital := len(text) == 1 && unicode.IsUpper(rune(text[0]))
	switch {
	case mine:
		return u
	case foreign || capital || !bracket:
		return nil
	}
	return u
}

// near reports whether one of the words is measured in this unit, and whether
// one is measured in units of other dimensions only. A letter says neither, and
// a body is weighed as well as measured.
func (u *unit) near(t *unitTable, others string) (mine, foreign bool) {
	for _, w := range headingWords(strings.NewReplacer("/", " ", "(", " ", ")", " ", "&", " ", "+", " ").Replace(others)) {
		k := fold(others[w.from:w.to])
		k = strings.TrimRight(k, "0123456789")
		if u.headed[k] {
			mine = true
		} else if dims := t.headed[k]; len(k) > 1 && k != "body" && len(dims) > 0 && !dims[u.dimension] {
			foreign = true
		}
	}
	return mine, foreign
}

// joinWords joins the parts that are not blank by one blank and takes marks
// off the end.
func joinWords(parts ...string) string {
	var kept []string
	for _, p := range parts {
		if p = strings.Trim(p, " _,:;-/"); p != "" {
			kept = append(kept, p)
		}
	}
	return strings.Join(kept, " ")
}
