package mapping

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
	"spadefoot/pipeline/vocabulary"
)

// reading is a heading taken apart: "Fish_Length_2_mm" is the words fish and
// length, the number 2 and the unit mm.
type reading struct {
	whole  string   // the heading without its unit
	words  []string // folded, without unit and number
	number int      // the last number that is alone or behind a word; -1 for none
	year   bool     // the number is a year
	month  string   // the word that is the name of a month, folded
	day    bool     // a word before the number says that it counts days, ages or visits
	unit   string   // UCUM code
	glued  bool     // nothing parts the unit from the word before
}

// letters is how many letters and digits a heading has without its unit: of so few as
// two or three each stands for a word.
func (r reading) letters() int { return utf8.RuneCountInString(vocabulary.Fold(r.whole)) }

// readLegend reads what a legend says of a heading. The unit may stand in one of
// its clauses: "mass in g, bag subtracted"; "snout to vent, mm, calipers".
func (k *knowledge) readLegend(text string) reading {
	whole := k.read(text)
	if whole.unit != "" {
		return whole
	}
	for _, clause := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' }) {
		clause = strings.TrimSpace(clause)
		if r := k.read(clause); r.unit != "" && len(whole.words) > 0 && len(r.words) > 0 {
			return r
		}
		if code, ok := quantity.FindUnit(clause); ok {
			whole.unit = code
			return whole
		}
	}
	return whole
}

// readColumns takes the headings of a table apart. What is over several columns is
// passed over where it says nothing that is known ("Capture", "Readings") and what is
// below it is over one column only. The unit may be told only by the lowest row.
func (k *knowledge) readColumns(columns []record.Column) []reading {
	times := map[string]int{}
	for i := range columns {
		times[vocabulary.Fold(lowest(&columns[i]))]++
	}
	out := make([]reading, len(columns))
	for i := range columns {
		heading, lower := columns[i].Heading, lowest(&columns[i])
		r, own := k.read(heading), k.read(lower)
		over := k.read(strings.TrimSuffix(heading, lower))
		switch {
		case lower == heading:
		case times[vocabulary.Fold(lower)] == 1 && over.number < 0 && !slices.ContainsFunc(over.words, k.says):
			own.unit = cmp.Or(own.unit, over.unit)
			r = own
		case r.unit == "" && own.unit != "":
			r = k.read(over.whole + " " + own.whole)
			r.unit = own.unit
		}
		out[i] = r
	}
	k.partSides(out)
	return out
}

// partSides parts the letter for a side from the known word behind it, where another
// heading has the other side: ltag beside rtag.
func (k *knowledge) partSides(readings []reading) {
	for i := range readings {
		w := strings.Join(readings[i].words, "")
		if len(readings[i].words) != 1 || len(w) < 4 || w[0] != 'l' || len(k.headings[w[1:]]) == 0 {
			continue
		}
		for j := range readings {
			if slices.Equal(readings[j].words, []string{"r" + w[1:]}) {
				readings[i].words, readings[j].words = []string{"l", w[1:]}, []string{"r", w[1:]}
			}
		}
	}
}

// says reports whether a folded word means something in a heading: it is a heading by
// itself, or one of the words that change what a heading means.
func (k *knowledge) says(word string) bool {
	if k.wordKinds[fillerWord][word] {
		return false
	}
	for _, words := range k.wordKinds {
		if words[word] {
			return true
		}
	}
	return len(k.headings[word]) > 0 || len(k.groupWords[word]) > 0 || k.animals[word] || len(k.parts[word]) > 0 || calendar.Month(word) > 0
}

// read takes a heading apart. A unit may also be written onto the last word
// where what is left names something of that dimension: WEIGHTGR, MASSg.
func (k *knowledge) read(heading string) reading {
	heading = strings.TrimRight(heading, " :")
	r := reading{whole: heading, number: -1}
	if code, rest, ok := quantity.HeadingUnit(heading); ok && !k.partOfName(heading, rest) {
		r.whole, r.unit = rest, code
	} else if code, rest, ok := k.gluedUnit(heading); ok {
		r.whole, r.unit, r.glued = rest, code, true
	}
	for _, part := range headingParts(r.whole) {
		if n, err := strconv.Atoi(part); err == nil {
			r.number, r.year = n, n >= 1800 && n < 2100
			continue
		}
		if w := vocabulary.Fold(part); w != "" {
			if len(r.words) > 0 && len(w) >= 3 && strings.Trim(w, "ivx") != "" && calendar.Month(part) > 0 {
				r.month = w
			}
			r.words = append(r.words, w)
		}
	}
	if n := len(r.words); n > 1 && r.number >= 0 && dayAtEnd().MatchString(r.whole) && k.wordKinds[dayWord][r.words[n-1]] {
		r.words, r.day = r.words[:n-1], true // "mass d5", "wing_day10"
	}
	return r
}

// dayAtEnd matches a word and the number behind it at the end of a heading.
var dayAtEnd = pattern.Of(`(^|[^\pL])\pL+[ ._-]?\d+$`)

// partOfName reports whether what reads as a unit is a word of the heading: "hind ft"
// is the hind foot, and "hind" alone nothing. Nor is INS in "鼻间距 INS" inches.
func (k *knowledge) partOfName(heading, rest string) bool {
	if own, latin := byScript(heading); own != "" && len(latin) > 1 && latin == strings.ToUpper(latin) && len(k.headings[vocabulary.Fold(latin)]) > 0 {
		return true
	}
	return len(k.headings[vocabulary.Fold(heading)]) > 0 && len(k.headings[vocabulary.Fold(rest)]) == 0
}

// gluedUnit finds a unit of which nothing parts it from the word before, or which is
// in capitals in brackets behind what is measured in it: "GEW. [G]".
func (k *knowledge) gluedUnit(heading string) (code, rest string, ok bool) {
	if k.short[vocabulary.Fold(lastPart(heading))] != "" {
		return "", "", false // the t of "BagWt" is the weight's
	}
	runes := []rune(strings.TrimRight(heading, " )]"))
	for n := 3; n >= 1; n-- {
		if len(runes) < n+2 {
			continue
		}
		name, tail := string(runes[:len(runes)-n]), string(runes[len(runes)-n:])
		code, known := quantity.FindUnit(tail)
		if !known {
			code, known = quantity.FindUnit(strings.ToLower(tail))
		}
		if upper, ok := quantity.FindUnit(strings.ToUpper(tail)); !known && ok && quantity.Dimension(upper) == "temperature" {
			code, known = upper, true // water_temp_c
		}
		if bare, in := strings.CutSuffix(name, "in"); known && in && len(bare) > 3 && k.measures(bare, quantity.Dimension(code)) {
			return code, bare, true // lengthinmm
		}
		if len(k.parts[vocabulary.Fold(tail)]) > 0 {
			continue // "Comp. pé" is the length of a foot
		}
		last := runes[len(runes)-n-1]
		parted := !unicode.IsLetter(last) || unicode.IsUpper(last) && unicode.IsLower(runes[len(runes)-n])
		if !known || !parted && (n == 1 && code != "g" || len(runes)-n < 3) {
			continue
		}
		name = strings.TrimRight(name, " _.-([")
		if k.measures(name, quantity.Dimension(code)) || parted && n > 1 && k.measures(lastPart(name), quantity.Dimension(code)) {
			return code, name, true
		}
	}
	return "", "", false
}

func lastPart(name string) string {
	parts := headingParts(name)
	if len(parts) == 0 {
		return ""
	}
	return parts[len(parts)-1]
}

// measures reports whether the words name a measurement, or a mass of a
// weighing, of the dimension: by themselves, or put together from a part and a size.
func (k *knowledge) measures(name, dimension string) bool {
	return slices.ContainsFunc(k.compose(vocabulary.FoldEach(headingParts(name))), func(h vocabulary.Heading) bool {
		return k.measurements[h.Value].Dimension == dimension
	}) || slices.ContainsFunc(k.headings[vocabulary.Fold(name)], func(h vocabulary.Heading) bool {
		switch h.Role {
		case vocabulary.HeadingMeasurement:
			return k.measurements[h.Value].Dimension == dimension
		case vocabulary.HeadingWeighing:
			return dimension == "mass"
		}
		return false
	})
}

// headingParts splits a heading at blanks and marks, before a capital after a
// small letter, before the last capital of a run that goes on in small letters,
// and between letters and digits.
func headingParts(s string) []string {
	var parts []string
	var part []rune
	end := func() {
		if len(part) > 0 {
			parts = append(parts, string(part))
			part = nil
		}
	}
	runes := []rune(s)
	for i, r := range runes {
		if !isWord(r) {
			end()
			continue
		}
		if n := len(part); n > 0 {
			before := part[n-1]
			switch {
			case unicode.IsDigit(r) != unicode.IsDigit(before) && r != '°' && before != '°':
				end()
			case unicode.IsUpper(r) && unicode.IsLower(before):
				end()
			case unicode.IsUpper(r) && unicode.IsUpper(before) && i+1 < len(runes) && unicode.IsLower(runes[i+1]):
				end()
			}
		}
		part = append(part, r)
	}
	end()
	return parts
}

// kinds of words in mappings/heading_words.csv
const (
	fillerWord    = "filler"
	identityWord  = "identity"
	sideWord      = "side"
	derivedWord   = "derived"
	laterWord     = "later"
	adjectiveWord = "adjective"
	thingWord     = "thing"
	citationWord  = "citation"
	droppingWord  = "dropping"
	contrastWord  = "contrast"
	sortWord      = "sort"
	measuringWord = "measuring"
	severalWord   = "several"
	sizeWord      = "size"
	waterWord     = "water"
	shortWord     = "short"
	extentWord    = "extent"
	parentWord    = "parent"
	grownWord     = "grown"
	youngWord     = "young"
	eggWord       = "egg"
	greatestWord  = "greatest"
	dayWord       = "day"
)

// hasKind reports whether one of the words is of the kind.
func (k *knowledge) hasKind(words []string, kind string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return k.wordKinds[kind][w] })
}

// without returns the words that are of none of the kinds.
func (k *knowledge) without(words []string, kinds ...string) []string {
	return slices.DeleteFunc(slices.Clone(words), func(w string) bool {
		return slices.ContainsFunc(kinds, func(kind string) bool { return k.wordKinds[kind][w] })
	})
}

// fillersApart parts words that begin with one for an animal or one that changes
// nothing, or its first four letters: fischart is the species of the fish, fishno
// its number, sampdate the day of a sample.
func (k *knowledge) fillersApart(words []string) []string {
	var out []string
	for _, w := range words {
		cut := 0
		for at := 3; at <= len(w)-2; at++ {
			first, rest := w[:at], w[at:]
			known := k.animals[first] && at > 3 || k.wordKinds[fillerWord][first] || at == 4 && k.beginsFiller(first)
			if known && len(k.headings[rest]) > 0 && (len(rest) > 2 || k.wordKinds[identityWord][rest]) {
				cut = at
			}
		}
		if cut > 0 && k.animals[w[:cut]] {
			out = append(out, w[:cut])
		}
		out = append(out, w[cut:])
	}
	return out
}

// beginsFiller reports whether a word that changes nothing in headings begins so.
func (k *knowledge) beginsFiller(letters string) bool {
	for w := range k.wordKinds[fillerWord] {
		if strings.HasPrefix(w, letters) {
			return true
		}
	}
	return false
}

// numberApart parts a last word that ends in one for a number or a name from the
// known word before it: lakeid is the ID of a lake, spname the name of a species.
func (k *knowledge) numberApart(words []string) []string {
	if len(words) == 0 {
		return nil
	}
	last := words[len(words)-1]
	for at := 2; at <= len(last)-2; at++ {
		if end := last[at:]; (k.wordKinds[identityWord][end] || end == "name") && len(k.headings[last[:at]]) > 0 {
			return append(slices.Clone(words[:len(words)-1]), last[:at], end)
		}
	}
	return nil
}

// writtenOut writes words of headings out that are often cut down: "egg wt" is the
// egg weight. A single word may be two that nothing parts, of which one is cut
// down so: totlen, taillen. It returns nil where there is none.
func (k *knowledge) writtenOut(words []string) []string {
	out := slices.Clone(words)
	for i, w := range words {
		if whole := k.short[w]; whole != "" {
			out[i] = whole
		}
	}
	if !slices.Equal(out, words) {
		return out
	}
	if len(words) != 1 {
		return nil
	}
	for at := 3; at <= len(words[0])-2; at++ {
		first, last := words[0][:at], words[0][at:]
		if k.short[last] == "" && k.short[first] == "" {
			continue
		}
		both := []string{cmp.Or(k.short[first], first), cmp.Or(k.short[last], last)}
		if len(k.headings[strings.Join(both, "")]) > 0 || len(k.headings[strings.Join(k.without(both, sideWord), "")]) > 0 {
			return both
		}
	}
	return nil
}

// hasKindOfAnimal reports whether the last word of a heading names a kind of
// animal: "Brook trout", "Frogs".
func (k *knowledge) hasKindOfAnimal(heading string) bool {
	return k.animals[vocabulary.Fold(lastPart(heading))]
}

// namesAnimal reports whether one of some words names a kind of animal.
func (k *knowledge) namesAnimal(words []string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return k.animals[w] })
}

// onlyAnimals reports whether each of some words names a kind of animal.
func (k *knowledge) onlyAnimals(words []string) bool {
	return len(words) > 0 && !slices.ContainsFunc(words, func(w string) bool { return !k.animals[w] })
}

// withAnimal writes "animal" for every word that names a kind of animal, so
// that "Turtle ID" is looked up as "Animal ID" is.
func (k *knowledge) withAnimal(words []string) []string {
	out := slices.Clone(words)
	for i, w := range out {
		if k.animals[w] {
			out[i] = "animal"
		}
	}
	return out
}
