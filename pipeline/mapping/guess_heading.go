package mapping

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/hbollon/go-edlib"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
	"spadefoot/pipeline/vocabulary"
)

// propose collects what the heading of an item may mean, and what its values
// may be under an unknown heading. What stands nearer to a known heading goes
// before what is only like one.
func (g *guesser) propose(it *item) {
	if it.later || it.restates != "" {
		return
	}
	names := []string{it.heading}
	if whole := g.readings[it.columns[0]].whole; whole != it.heading && it.replicates == nil {
		names = append(names, whole)
	}
	if i := strings.IndexAny(it.heading, "(["); i > 0 && len(g.table.Columns[it.columns[0]].Parts) < 2 {
		if !g.know.hasKind(g.know.read(it.heading[i:]).words, derivedWord) { // "Wind (Bft)" is no speed
			names = append(names, it.heading[:i])
		}
	}
	if with := g.withUnit(it); with != g.table.Columns[it.columns[0]].Heading && it.replicates == nil {
		names = append(names, with) // "error" over metres
	}
	if strings.Contains(it.heading, "#") {
		names = append([]string{strings.ReplaceAll(it.heading, "#", " no ")}, names...)
	}
	if own, latin := byScript(g.readings[it.columns[0]].whole); own != "" && latin != "" {
		names = append(names, own, latin)
	}
	if zone, rest := place.HeadingZone(it.heading); zone != "" {
		names = append(names, rest)
	}
	for _, name := range names {
		for _, w := range withAndWithout {
			if before, behind, ok := strings.Cut(name, w.short); ok && strings.HasSuffix(before, " ") {
				names = append(names, before+w.long+behind)
			}
		}
	}
	if g.byAngle(it) {
		return
	}
	g.byCompass(it)
	if g.ofEggs() {
		g.overEgg(it)
	}
	if !it.may(isMeasured) {
		for i, name := range names {
			g.exact(it, name, 1-0.02*float64(i))
		}
	}
	whole := len(it.candidates) > 0
	it.try(g.lowerPart, g.phrases, g.composed, g.initialled, g.lettered)
	words := g.readings[it.columns[0]].words
	it.derived = len(it.candidates) == 0 && g.know.hasKind(words, derivedWord)
	it.later = len(it.candidates) == 0 && g.know.hasKind(words, laterWord)
	if !it.derived && !it.later {
		g.byLegend(it, g.phrases, g.composed)
		it.try(func(it *item) { g.shortened(it, names) }, g.headed, g.identity, func(it *item) { g.nearly(it, names) },
			func(it *item) { g.byLegend(it, g.headed) }) // a word of a sentence says less than the heading does
	}
	sharp := strings.Trim(it.heading, " #") != strings.TrimSpace(it.heading) // "Clip #", "# obs"
	if n := len(words); sharp || !whole && n > 1 && g.know.wordKinds[identityWord][words[n-1]] {
		g.onlyNumbered(it)
		it.try(g.identity)
	}
	g.byCodes(it)
	g.otherNumbers(it)
	g.globalIdentifiers(it)
	if strings.ContainsAny(it.heading, "°º") { // N° is the number of one, N may be how many
		it.candidates = slices.DeleteFunc(it.candidates, func(c *candidate) bool {
			return c.meaning.Term == "individualCount" && c.weight < generalHeading
		})
	}
	g.otherPlaces(it)
	g.otherNames(it)
	g.numberOfAnimal(it)
	g.otherMarks(it)
	g.withItsBag(it)
	if it.replicates != nil {
		it.candidates = slices.DeleteFunc(it.candidates, func(c *candidate) bool { return c.meaning.Role != record.Measurement })
		return
	}
	if !it.derived && !it.later && !it.series {
		g.proposeByValues(it)
	}
}

// try takes steps until one finds a meaning.
func (it *item) try(steps ...func(*item)) {
	for _, step := range steps {
		if len(it.candidates) == 0 {
			step(it)
		}
	}
}

// first returns the first candidate that is such, nil for none.
func (it *item) first(is func(*candidate) bool) *candidate {
	if i := slices.IndexFunc(it.candidates, is); i >= 0 {
		return it.candidates[i]
	}
	return nil
}

// byScript parts the Chinese, Japanese and Korean signs of a heading from the rest:
// "头宽 HW" says the same twice.
func byScript(heading string) (signs, rest string) {
	only := func(signs bool) string {
		return strings.Map(func(r rune) rune {
			if vocabulary.IsSign(r) == signs {
				return r
			}
			return -1
		}, heading)
	}
	return only(true), strings.TrimSpace(only(false))
}

// withAndWithout are the words that "Peso c/ saco" and "Peso s/ saco" are short for.
var withAndWithout = []struct{ short, long string }{{"c/", "com "}, {"c/", "con "}, {"s/", "sem "}, {"s/", "sin "}}

// ofEggs reports whether the rows are eggs: a column names or numbers them.
func (g *guesser) ofEggs() bool {
	for i, r := range g.readings {
		rest := g.know.without(r.words, identityWord)
		if p := g.profiles[i]; len(rest) == 1 && g.know.hasKind(rest, eggWord) && r.unit == "" && (len(r.words) == 2 || p.filled > 0 && (p.numeric < 0.1 || p.counting > 0.8)) {
			return true
		}
	}
	return false
}

// overEgg adds what a heading says of one egg: a length, a width or a mass, in
// whatever language.
func (g *guesser) overEgg(it *item) {
	whole := g.readings[it.columns[0]].whole
	names := []string{it.heading, whole}
	for _, words := range g.know.extents {
		names = append(names, words[vocabulary.Fold(whole)])
	}
	if slices.ContainsFunc(g.know.headings[vocabulary.Fold(whole)], func(h vocabulary.Heading) bool { return h.Role == vocabulary.HeadingWeighing && h.Value == record.Net }) {
		names = append(names, "mass")
	}
	slices.Sort(names)
	for _, name := range slices.Compact(names) {
		g.exact(it, "egg "+name, 1)
	}
}

// lowerPart adds what the lower of several heading rows says by itself, and
// then what an upper one says of the columns that it stretches over.
func (g *guesser) lowerPart(it *item) {
	parts := g.table.Columns[it.columns[0]].Parts
	if len(parts) < 2 || it.replicates != nil {
		return
	}
	i := it.columns[0]
	own := g.readings[i]
	for k := len(parts) - 1; k >= 0 && len(it.candidates) == 0; k-- {
		factor := 0.95
		if k < len(parts)-1 {
			factor = 0.8
		}
		g.readings[i] = g.know.read(parts[k])
		if k > 0 && g.know.onlyAnimals(g.readings[i].words) {
			continue // under "Mass" it is the animal's
		}
		g.exact(it, parts[k], factor)
		if whole := g.readings[i].whole; len(it.candidates) == 0 && whole != parts[k] {
			g.exact(it, whole, factor)
		}
		if len(it.candidates) == 0 && k == len(parts)-1 {
			g.phrases(it)
		}
	}
	for _, c := range it.candidates {
		c.lower = true
	}
	g.readings[i] = own
}

// lowest is the heading of a column without those over several columns.
func lowest(c *record.Column) string {
	if n := len(c.Parts); n > 1 && c.Parts[n-1] != "" {
		return c.Parts[n-1]
	}
	return c.Heading
}

// toldApart leaves measurements open that several columns have in the lowest of
// their heading rows, where what is above tells them apart in a way that
// nobody here knows: "mass" under "Day 4" and under "Day 8".
func (g *guesser) toldApart() {
	same := map[string][]*item{}
	for _, it := range g.items {
		if parts := g.table.Columns[it.columns[0]].Parts; it.may(func(c *candidate) bool { return c.lower && isMeasured(c) }) {
			said := Fold(parts[len(parts)-1])
			same[said] = append(same[said], it)
		}
	}
	for _, items := range same {
		for _, it := range items {
			it.series = it.series || len(items) > 1
		}
	}
}

// otherMarks lets a second mark of an animal be another of its numbers, and
// numbers that count on and begin again the number of the row.
func (g *guesser) otherMarks(it *item) {
	c := it.first(func(c *candidate) bool { return c.meaning.Term == "organismID" })
	if c == nil {
		return
	}
	p := g.profiles[it.columns[0]]
	if p.counting > 0.8 && p.unique < 0.98 {
		it.add(c.as("recordNumber", c.weight*0.3))
	}
	if !c.partial && p.counting < 0.5 && p.whole == 1 && 3*p.ones() > p.filled && p.distinct > 1 {
		n := c.as("individualCount", c.weight*0.6)
		n.shared, n.reasons = false, []string{fmt.Sprintf("the heading %q is the name of what a row is about, and many of the numbers are 1", it.heading)}
		it.add(n)
	}
	if g.know.onlyAnimals(g.readings[it.columns[0]].words) && p.ofTexts(g.know.callsAnimal) > 0.5 {
		n := c.as("vernacularName", c.weight)
		n.reasons = []string{fmt.Sprintf("the heading %q is a word for animals, and the values are names of some", it.heading)}
		it.add(n)
	}
	o := c.fallBack("otherCatalogNumbers", c.weight*0.8)
	o.shared = g.repeatable(o.meaning.Term)
	it.add(o)
}

// numberOfAnimal lets the number of an animal that comes again be its mark: "Tort no" in
// recaptures.
func (g *guesser) numberOfAnimal(it *item) {
	words, p := g.readings[it.columns[0]].words, g.profiles[it.columns[0]]
	if p.onceEach() || p.counting > 0.5 || !g.know.hasKind(words, identityWord) || !g.know.namesAnimal(words) {
		return
	}
	if c := it.first(func(c *candidate) bool { return c.meaning.Term == "recordNumber" && !c.partial }); c != nil {
		o := c.as("organismID", c.weight)
		o.unnamed = true
		it.add(o)
	}
}

// otherNumbers lets a heading that says no more than number be how many there
// were: "No" over 1, 1, 40, 1.
func (g *guesser) otherNumbers(it *item) {
	p := g.profiles[it.columns[0]]
	if p.whole < 1 || p.counting == 1 || !g.know.hasKind(g.readings[it.columns[0]].words, identityWord) {
		return
	}
	if c := it.first(func(c *candidate) bool {
		return c.meaning.Term == "recordNumber" && c.weight > 0.6 && c.weight < generalHeading && !c.partial
	}); c != nil {
		n := c.as("individualCount", 0.4)
		n.shared = false
		it.add(n)
	}
}

// withItsBag takes what a heading says of the mass of a bag for that of an animal with it,
// where it names both, "BagWt+Bat", or for that of one without it: "Weight (minus bag)".
func (g *guesser) withItsBag(it *item) {
	if apart().MatchString(it.heading) {
		for _, c := range it.candidates {
			if c.meaning.Part == record.Tare && c.partial {
				c.meaning.Part, c.reasons = record.Net, []string{fmt.Sprintf("the heading %q says that the mass is without the bag", it.heading)}
			}
		}
		return
	}
	if !together().MatchString(it.heading) || !g.know.namesAnimal(g.readings[it.columns[0]].words) {
		return
	}
	for _, c := range it.candidates {
		if c.meaning.Part == record.Tare {
			c.meaning.Part, c.reasons = record.Gross, []string{fmt.Sprintf("the heading %q names an animal together with its bag", it.heading)}
		}
	}
}

// together matches what joins an animal and its bag.
var together = pattern.Of(`(?i)[+&]|\b(and|with|plus|in|y|con|en|und|mit|im|e|com|em|et|avec|met|och|med)\b`)

// apart matches what takes a bag away.
var apart = pattern.Of(`(?i)\b(minus|less|without|excl|excluding|sin|sem|ohne|abzüglich|sans|senza|zonder|utan|uden)\b`)

// globalIdentifiers lets what numbers the records be the identifier of each, where no
// other record anywhere has it: "ID" over UUIDs or addresses.
func (g *guesser) globalIdentifiers(it *item) {
	if p := g.profiles[it.columns[0]]; !p.onceEach() || p.ofTexts(globalIdentifier().MatchString) < 1 {
		return
	}
	if c := it.first(func(c *candidate) bool {
		return slices.Contains([]string{"catalogNumber", "recordNumber"}, c.meaning.Term) && !c.partial && !c.named
	}); c != nil {
		o := c.as("occurrenceID", generalHeading)
		o.reasons = []string{fmt.Sprintf("the heading %q numbers records, and no record elsewhere has the same: UUIDs, addresses, or numbers with their collection", it.heading)}
		it.add(o)
	}
}

// byLegend adds what the legend of the workbook says of a heading that says
// little by itself, or is a few letters: as it stands, or else by steps.
func (g *guesser) byLegend(it *item, steps ...func(*item)) {
	i := it.columns[0]
	legend, own := g.legends[i], g.readings[i]
	if len(it.candidates) == 0 && g.namesByCodes(i) {
		it.add(ofTerm("scientificName", 0.9, "the legend says that its codes are names of species"))
		return
	}
	certain := it.may(func(c *candidate) bool { return c.weight > 0.8 })
	if len(legend.words) == 0 || beginsWithCode(g.legend(i)) || certain && own.letters() > longestInitials {
		return
	}
	before := it.candidates
	it.candidates, g.readings[i] = nil, legend
	g.exact(it, legend.whole, 0.95)
	if what, _, more := strings.Cut(legend.whole, ","); more && len(it.candidates) == 0 { // "snout length, from its tip to the eye"
		g.exact(it, what, 0.95)
	}
	it.try(steps...)
	g.readings[i] = own
	for _, c := range it.candidates {
		c.reasons[0] = fmt.Sprintf("the legend says %q", legend.whole)
		c.partial, c.told = false, true
	}
	if len(it.candidates) == 0 || certain && !it.may(isMeasured) {
		it.candidates = before
	}
}

// byCodes adds the term of whose words the codes of a column are said to stand for.
func (g *guesser) byCodes(it *item) {
	for _, term := range vocabulary.BesideTerms {
		if it.replicates != nil || it.may(func(c *candidate) bool { return c.meaning.Term == term }) {
			continue
		}
		codes, p := g.codesOf(it.columns[0], term), g.profiles[it.columns[0]]
		if p.distinct > 1 && p.ofTexts(func(text string) bool { return codes[text] != "" }) > 0.9 {
			c := ofTerm(term, 0.9, "its codes are said to stand for words of %s", term)
			c.meaning.Vocabulary, c.told = codes, true
			it.add(c)
		}
	}
}

// namesByCodes reports whether the legend of a column gives a scientific name for
// most of its codes.
func (g *guesser) namesByCodes(column int) bool {
	codes, names := codesIn(g.legend(column)), 0
	for _, name := range codes {
		if g.know.latin(name) {
			names++
		}
	}
	return 2*names > len(codes)
}

// placeTerms are terms that a place may be under, where the likelier ones
// are taken by a column beside it.
var placeTerms = []string{"locality", "locationID", "verbatimLocality"}

// otherPlaces lets a column with a place fall back on another term for places.
func (g *guesser) otherPlaces(it *item) {
	for _, c := range slices.Clone(it.candidates) {
		if c.meaning.Role != record.Term || !slices.Contains(placeTerms[:2], c.meaning.Term) {
			continue
		}
		for k, term := range placeTerms {
			if term != c.meaning.Term {
				o := c.fallBack(term, c.weight*(0.85-0.1*float64(k)))
				o.shared = g.repeatable(term)
				it.add(o)
			}
		}
	}
}

// otherNames lets a column of codes for species fall back on the identifier of a taxon,
// where another column has the names: SpCode beside Species.
func (g *guesser) otherNames(it *item) {
	words := g.readings[it.columns[0]].words
	apart := append(slices.Clone(words), g.know.numberApart(words)...)
	if c := it.first(func(c *candidate) bool { return c.meaning.Term == "scientificName" }); c != nil && g.know.hasKind(apart, identityWord) {
		it.add(c.fallBack("taxonID", c.weight*0.8))
	}
}

// phrases adds the meanings of the heading's words once those that change
// nothing are taken off, and every kind of animal is called one.
func (g *guesser) phrases(it *item) {
	r := g.readings[it.columns[0]]
	words := r.words
	if strings.Contains(it.heading, "#") {
		words = append(slices.Clone(words), "no") // "Toad #"
	}
	factor := 1.0
	if r.number >= 0 && it.replicates == nil {
		factor = 0.9
	}
	plain := g.know.without(words, sideWord)
	look := func(form []string, weight float64) {
		key := strings.Join(form, "")
		switch {
		case len(it.candidates) > 0 || key == "":
		case len(form) < len(words) && len(g.know.without(form, adjectiveWord)) == 0: // "total fish" is no total length
		case len(key) <= longestInitials && g.know.onlyInitials(words, form): // the LA of "IndLA" is no article
		case g.otherNumbered(form, words): // the ID of a study is none of an animal
		case r.number >= 0 && len(form) > 1 && len(form) == len(key): // letters around a number: n2i
		case len(key) == 1 && len(words) > 1: // "number 3 m" is no mass
		case len(key) < 3 && r.number > 1 && it.replicates == nil: // T4 by itself is the fourth of something, and 5th the fifth
		default:
			g.exact(it, key, factor*weight)
		}
	}
	for _, v := range []struct {
		words  []string
		weight float64
	}{
		{words, 1}, {plain, 0.97}, {sized(words, it.unit), 0.96}, {g.know.withAnimal(words), 0.97}, {g.know.withAnimal(plain), 0.95},
		{g.know.writtenOut(words), 0.95}, {g.know.writtenOut(g.know.withAnimal(plain)), 0.93}, {singular(words), 0.95}, {turned(words), 0.94}, {turned(g.know.withAnimal(words)), 0.93},
		{g.know.without(plain, fillerWord), 0.93}, {g.know.without(g.know.withAnimal(plain), fillerWord), 0.92},
		{g.know.withAnimal(g.know.fillersApart(plain)), 0.9}, {g.know.without(g.know.withAnimal(g.know.fillersApart(plain)), fillerWord), 0.9},
		{g.know.without(g.know.writtenOut(words), sideWord, fillerWord), 0.9},
		{g.greatest(it), 0.9}, {g.know.timeAmong(plain), 0.9},
	} {
		look(v.words, v.weight)
	}
	if len(it.candidates) == 0 { // what has a number
		look(g.know.without(plain, fillerWord, identityWord), 0.7)
		look(g.know.without(g.know.numberApart(plain), fillerWord, identityWord), 0.7)
		g.onlyNumbered(it)
	}
}

// onlyInitials reports whether what was taken off a heading of letters is itself no more
// than two letters, and no side or word cut down.
func (k *knowledge) onlyInitials(words, left []string) bool {
	off := slices.DeleteFunc(slices.Clone(words), func(w string) bool { return slices.Contains(left, w) })
	return len(off) > 0 && !slices.ContainsFunc(off, func(w string) bool {
		return utf8.RuneCountInString(w) > 2 || k.short[w] != "" || k.wordKinds[sideWord][w] || k.wordKinds[identityWord][w]
	})
}

// otherNumbered reports whether nothing but a word for a number is left of a heading
// whose other words name something else than what a row is about.
func (g *guesser) otherNumbered(left, words []string) bool {
	return len(left) > 0 && len(g.know.without(left, identityWord)) == 0 && len(g.know.without(g.know.withAnimal(words), identityWord, thingWord, sideWord)) > 0
}

// timeAmong returns the word for a time of day among words that say nothing else
// ("time cap", "field time"), nil for none.
func (k *knowledge) timeAmong(words []string) []string {
	if len(k.without(words, fillerWord)) > 0 {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(words), func(w string) bool {
		return !slices.ContainsFunc(k.headings[w], func(h vocabulary.Heading) bool { return k.values[h.Value].Kind == kindTime })
	})
}

// greatest takes the word off that says a length to be the greatest, as lengths and
// widths of shells and skulls are defined. It returns nil where another column is
// the least or the mean of the same.
func (g *guesser) greatest(it *item) []string {
	own := g.readings[it.columns[0]].words
	rest := g.know.without(own, greatestWord)
	if len(rest) == len(own) || g.countsSeveral() || !g.know.measures(strings.Join(rest, ""), "length") {
		return nil
	}
	for i, r := range g.readings {
		if i != it.columns[0] && slices.Equal(g.know.without(r.words, derivedWord), rest) {
			return nil
		}
	}
	return rest
}

// countsSeveral reports whether a heading says clearly that a column counts the animals of
// each row, and some rows have several.
func (g *guesser) countsSeveral() bool {
	for i, p := range g.profiles {
		if len(p.values) > 0 && p.whole == 1 && p.greatest() > 1 && slices.ContainsFunc(g.headingsOf(i), func(h vocabulary.Heading) bool {
			return h.Value == "individualCount" && h.Weight >= generalHeading
		}) {
			return true
		}
	}
	return false
}

// onlyNumbered takes off the meanings that no number of a thing has, since the
// heading says that it is one: "Sl. No." is not a standard length, "Clip #" and "#
// obs" are not remarks.
func (g *guesser) onlyNumbered(it *item) {
	counting := g.profiles[it.columns[0]].counting > 0.8
	it.candidates = slices.DeleteFunc(it.candidates, func(c *candidate) bool {
		return isMeasured(c) && (counting || g.know.measurements[c.meaning.Measurement].Dimension != "count") || c.meaning.Role == record.WeighPart || strings.HasSuffix(c.meaning.Term, "Remarks") || isCoordinate(g.know.values[c.meaning.Term].Kind)
	})
}

// byAngle adds the part of a coordinate that has a column for each of its parts.
// It reports whether there is nothing else to add: minutes and seconds alone are
// no latitude.
func (g *guesser) byAngle(it *item) bool {
	heading := g.table.Columns[it.columns[0]].Heading
	axis, part := place.HeadingAngle(heading)
	if axis == "" {
		return false
	}
	for _, c := range g.table.Columns {
		other, another := place.HeadingAngle(c.Heading)
		if other != axis || another == part {
			continue
		}
		term := map[string]string{"N": "decimalLatitude", "E": "decimalLongitude"}[axis]
		c := ofTerm(term, 1, "the heading %q means the %s of %s, and other columns have the other parts", heading, part, term)
		c.meaning.Angle, c.shared = part, true
		it.add(c)
		return true
	}
	return part != "degrees"
}

// byCompass adds the coordinate that a compass letter tells: "Coord. S" is a
// latitude.
func (g *guesser) byCompass(it *item) {
	compass, rest := place.HeadingCompass(it.heading)
	if compass == "" || rest == "" {
		return
	}
	pair := &item{heading: rest, columns: it.columns}
	g.exact(pair, rest, 1)
	pair.try(func(pair *item) { g.shortened(pair, []string{rest}) })
	for _, c := range pair.candidates {
		switch {
		case c.meaning.Term == "verbatimCoordinates" && strings.Contains(axisOf("decimalLatitude"), compass):
			c.meaning.Term = "decimalLatitude"
		case c.meaning.Term == "verbatimCoordinates":
			c.meaning.Term = "decimalLongitude"
		case !strings.Contains(axisOf(c.meaning.Term), compass):
			continue
		}
		c.reasons = []string{fmt.Sprintf("the heading %q means %s", it.heading, c.meaning.Term)}
		c.weight = max(c.weight, 0.9)
		it.add(c)
	}
}

// turned exchanges two words: "temp body" is the body's.
func turned(words []string) []string {
	if len(words) != 2 {
		return nil
	}
	return []string{words[1], words[0]}
}

// sized writes out the letter that says what was measured of the word before,
// where the unit goes with it: "Tail l [mm]" is its length, "Body m [g]" its
// mass. It returns nil where there is none.
func sized(words []string, unit string) []string {
	n := len(words)
	if n < 2 || len(words[n-1]) != 1 {
		return nil
	}
	size := ""
	switch letter := words[n-1][0]; quantity.Dimension(unit) {
	case "length":
		size = sizeOf[letter]
	case "mass":
		if letter == 'm' {
			size = "mass"
		}
	case "temperature":
		if letter == 't' {
			size = "temperature"
		}
	}
	if size == "" {
		return nil
	}
	return append(slices.Clone(words[:n-1]), size)
}

// singular takes the s off the last word.
func singular(words []string) []string {
	if n := len(words); n > 0 && len(words[n-1]) > 4 {
		out := slices.Clone(words)
		out[n-1] = strings.TrimSuffix(out[n-1], "s")
		return out
	}
	return words
}

// nounFirst are the languages in which the first word of a compound says what a
// thing is ("longitud de la cola"); in the others the last does.
var nounFirst = []string{"es", "pt", "fr", "it"}

// headed adds the meanings of known headings that stand as whole words in this
// one. The word that says what the thing is counts most; an adjective ("total")
// or a word for a size ("length") alone says nothing: claws have one too.
func (g *guesser) headed(it *item) {
	words := g.know.without(g.readings[it.columns[0]].words, sideWord, fillerWord)
	if whole := g.know.writtenOut(words); len(words) > 1 && whole != nil {
		words = whole
	}
	ofSort := len(words) > 1 && g.know.hasKind(words[len(words)-1:], sortWord)
	for size := min(3, len(words)-1); size > 0; size-- {
		for at := len(words) - size; at >= 0; at-- {
			key := strings.Join(words[at:at+size], "")
			if len(key) < 2 || len(key) < 3 && at > 0 {
				continue
			}
			for _, h := range g.know.headings[key] {
				if len(headingParts(h.Heading)) > size || tooGeneral[h.Value] || ofSort && slices.Contains(placeTerms, h.Value) || size == 1 && (g.know.isKind(key, adjectiveWord) || g.know.isKind(key, sizeWord)) {
					continue
				}
				factor := 0.4
				switch atEnd, first := at+size == len(words), slices.Contains(nounFirst, h.Language); {
				case atEnd && !first, at == 0 && first:
					factor = 0.72
				case atEnd, at == 0:
					factor = 0.55
				}
				c := g.candidate(it, h, factor, "a word in the heading %q means %s")
				c.partial, c.word = true, key
				if isMeasured(c) && len(g.know.parts[key]) > 0 && slices.ContainsFunc(words, func(w string) bool {
					return w != key && (len([]rune(w)) > 1 || (h.Language == "" || h.Language == "en") && w != "l" && w != "r") // a side, or the length
				}) {
					continue // the part alone does not say what is measured of it: "sn eye" is a distance
				}
				if c.meaning.Role == record.Measurement && strings.Contains(it.heading, "+") {
					continue // tarsus + toe is neither
				}
				it.add(c)
			}
			if len(it.candidates) > 0 {
				return
			}
		}
	}
}

// isKind reports whether a word is of a kind once it is written out.
func (k *knowledge) isKind(word, kind string) bool {
	return k.wordKinds[kind][cmp.Or(k.short[word], word)]
}

// sizeAlone reports whether a heading names a size, and not of what.
func (t *trial) sizeAlone() bool {
	return !slices.ContainsFunc(t.reading.words, func(w string) bool { return !t.know.isKind(w, sizeWord) })
}

// tooGeneral are terms whose headings say nothing within longer ones: a toe
// count counts no individuals, and the age at sea is not that of the fish.
var tooGeneral = map[string]bool{"individualCount": true, "recordNumber": true, "catalogNumber": true, "year": true, "month": true, "day": true, "age": true, "length": true}

// rowsOfOneNumber is how many rows on average have one text at most, where it is the
// number of an animal.
const rowsOfOneNumber = 4

// identity adds a number of the row where the heading says that it names
// something, and nothing is known of what.
func (g *guesser) identity(it *item) {
	words := g.readings[it.columns[0]].words
	rest := g.know.without(g.know.withAnimal(words), fillerWord)
	if len(rest) == 0 && quantity.Dimension(it.unit) == "mass" && len(words) > 0 { // "Frog (g)"
		c := &candidate{weight: 0.8, reasons: []string{fmt.Sprintf("the heading %q is an animal in a unit of mass", it.heading)}}
		c.meaning.Role, c.meaning.Part = record.WeighPart, record.Net
		it.add(c)
		return
	}
	if p := g.profiles[it.columns[0]]; p.filled > 1 && (p.distinct == 1 || p.filled > rowsOfOneNumber*p.distinct) && p.ofTexts(digits().MatchString) == 0 {
		return // "Toad survey: Otter Pond" is no number of a row, nor are the letters under "Capture/Recapture"
	}
	if len(rest) == 0 && g.know.hasKind(g.know.withAnimal(words), thingWord) {
		for _, term := range []string{"recordNumber", "organismID"} { // "Capture", "Turtle"
			it.add(ofTerm(term, 0.55, "the heading %q says what a row is about, and each row has its own number", it.heading))
		}
		return
	}
	if len(words) < 2 || !g.know.hasKind(words, identityWord) || !g.know.hasKind(longWords(words), identityWord) && g.profiles[it.columns[0]].counting < 0.5 {
		return // n of something may be how many there were
	}
	terms := []string{"recordNumber"}
	if !g.profiles[it.columns[0]].onceEach() {
		terms = append(terms, "organismID")
	}
	for _, term := range terms {
		c := ofTerm(term, 0.45, "the heading %q names something by a number", it.heading)
		c.partial, c.unnamed = true, true
		it.add(c)
	}
}

// ofTerm makes a candidate that means a term.
func ofTerm(term string, weight float64, reason string, args ...any) *candidate {
	c := &candidate{weight: weight, reasons: []string{fmt.Sprintf(reason, args...)}}
	c.meaning.Role, c.meaning.Term = record.Term, term
	return c
}

// longWords leaves out the words of one letter.
func longWords(words []string) []string {
	return slices.DeleteFunc(slices.Clone(words), func(w string) bool { return utf8.RuneCountInString(w) == 1 })
}

// exact adds the meanings of a heading that is known as it stands.
func (g *guesser) exact(it *item, name string, factor float64) {
	for _, h := range g.know.headings[vocabulary.Fold(name)] {
		it.add(g.candidate(it, h, factor, "the heading %q means %s"))
	}
	if g.clues.Named == nil || it.replicates != nil {
		return
	}
	if term := g.clues.Named(name); term != "" && !it.may(func(c *candidate) bool { return c.meaning.Term == term }) {
		h := vocabulary.Heading{Heading: name, Role: vocabulary.HeadingTerm, Value: term, Weight: 0.95}
		it.add(g.candidate(it, h, factor, "the heading %q is the name of %s"))
	}
	if it.may(func(c *candidate) bool { return c.named }) {
		it.candidates = slices.DeleteFunc(it.candidates, func(c *candidate) bool { return !c.named })
	}
}

// shortened adds the meanings of known headings that this one may be cut down
// from, word by word: "Kopfbr." from Kopfbreite, "Larg. cabeça" from Largura
// cabeça. Three letters of a word must stand if a dot marks the cut, else four.
func (g *guesser) shortened(it *item, names []string) {
	for _, name := range names {
		if key := vocabulary.Fold(name); !strings.Contains(name, ".") && (g.know.wordKinds[fillerWord][key] || g.know.wordKinds[waterWord][key]) {
			continue // "Body" is a word by itself, and says nothing of the heat of one
		}
		words, least := strings.Fields(Fold(name)), 4
		if strings.Contains(name, ".") {
			least = 3
		}
		oneWord := len(words) == 1
		if parts := headingParts(name); oneWord && len(parts) > 1 && len([]rune(parts[len(parts)-1])) > 1 {
			words = parts // WaterCon is not the beginning of one word
		}
		words = vocabulary.FoldEach(words)
		forms := [][]string{words}
		if len(words) == 1 && len(words[0]) > least {
			end := len(words[0]) - 1
			if size := sizeOf[words[0][end]]; size != "" {
				forms = append(forms, []string{words[0][:end], size})
			}
		}
		for _, form := range forms {
			for _, known := range g.know.phrases {
				if cutFrom(form, known.words, least) {
					for _, h := range g.know.headings[known.key] {
						c := g.candidate(it, h, 0.7, "the heading %q is the beginning of one that means %s")
						c.spelt, c.cut = oneWord && least > 3, true
						it.add(c)
					}
				}
			}
		}
	}
}

// sizeOf are the letters at the end of a word that say what was measured of it:
// tarsl, headw.
var sizeOf = map[byte]string{'l': "length", 'w': "width", 'h': "height", 'd': "depth"}

// cutFrom reports whether each word is the beginning of the known word in its
// place, or that word itself.
func cutFrom(words, known []string, least int) bool {
	if len(words) != len(known) || len(words) == 0 {
		return false
	}
	for i, w := range words {
		if w != known[i] && (len(w) < least || !strings.HasPrefix(known[i], w)) {
			return false
		}
	}
	return true
}

// nearly adds the meanings of known headings that are spelt nearly so.
func (g *guesser) nearly(it *item, names []string) {
	for _, name := range names {
		key := vocabulary.Fold(name)
		n := len([]rune(key))
		if parts := headingParts(name); g.know.wordKinds[fillerWord][key] || len(parts) > 1 && !slices.ContainsFunc(parts, func(w string) bool { return !g.know.says(w) }) {
			continue // nothing is misspelled: HeadWt is no head width
		}
		if last := lastPart(name); n < 6 || n > 60 || len(last) == 1 && unicode.IsLetter(rune(last[0])) {
			continue // the letter of "ForearmG" is none too many
		}
		slips := 1
		if n >= 12 {
			slips = 2
		}
		for _, known := range g.know.spelt {
			if d := len([]rune(known)) - n; d > slips || d < -slips || n+d < 6 || key[0] != known[0] {
				continue // hardly anybody misspells the first letter: ntotal is the total of something
			}
			if edlib.OSADamerauLevenshteinDistance(key, known) <= slips {
				plural := (key == known+"s" || key == known+"es") && g.profiles[it.columns[0]].whole == 1 // egg masses are counted, an egg mass is not
				for _, h := range g.know.headings[known] {
					if plural && h.Role != vocabulary.HeadingTerm {
						continue
					}
					c := g.candidate(it, h, 0.75, "the heading %q is spelled like one that means %s")
					c.spelt = true
					it.add(c)
				}
			}
		}
	}
}

// weighed names the part of a weighing that a mass is, where it was taken once.
var weighed = map[string]string{"bodyMass": record.Net, "grossMass": record.Gross, "bagMass": record.Tare}

// candidate makes a candidate of a heading's meaning.
func (g *guesser) candidate(it *item, h vocabulary.Heading, factor float64, reason string) *candidate {
	c := &candidate{weight: h.Weight * factor, heading: vocabulary.Fold(h.Heading)}
	if h.Language != "" {
		c.tongues = []string{h.Language}
	}
	words := g.readings[it.columns[0]].words
	c.unnamed = len(words) > 0 && len(g.know.without(words, identityWord)) == 0
	what := h.Value
	switch h.Role {
	case vocabulary.HeadingTerm:
		c.meaning.Role, c.meaning.Term = record.Term, h.Value
		c.named = isTermName().MatchString(h.Value) && strings.EqualFold(it.heading[strings.LastIndex(it.heading, ":")+1:], h.Value)
		c.meaning.Vocabulary = g.codesOf(it.columns[0], h.Value)
		c.shared = g.repeatable(h.Value)
	case vocabulary.HeadingWeighing:
		c.meaning.Role, c.meaning.Part = record.WeighPart, h.Value
		what = "the weighing's " + h.Value
		if h.Value == record.Net && it.replicates != nil { // weighed several times
			c.meaning = record.Meaning{Role: record.Measurement, Measurement: "bodyMass", Observer: it.observer}
			what = "bodyMass"
		}
	case vocabulary.HeadingMeasurement:
		c.meaning.Role, c.meaning.Measurement, c.meaning.Side, c.meaning.Observer = record.Measurement, h.Value, it.side, it.observer
		if part := weighed[h.Value]; part != "" && it.replicates == nil && it.observer == "" {
			c.meaning.Role, c.meaning.Measurement, c.meaning.Part = record.WeighPart, "", part
			what = "the weighing's " + part
		}
	case vocabulary.HeadingLong:
		c.meaning.Role = record.LongColumn(h.Value)
		what = "the " + h.Value + " in a sheet with one row per measurement"
	default:
		c.meaning.Role, c.meaning.Reason, c.shared = record.SetAside, h.Value, true
	}
	c.reasons = []string{fmt.Sprintf(reason, it.heading, what)}
	return c
}

// isTermName matches the name of a term that is no everyday word: individualCount.
var isTermName = pattern.Of(`^[a-z]+[A-Z]`)

// add keeps the candidate, or the heavier of two with the same meaning.
func (it *item) add(c *candidate) {
	for i, old := range it.candidates {
		a, b := old.meaning, c.meaning
		if a.Role == b.Role && a.Term == b.Term && a.Measurement == b.Measurement && a.Part == b.Part {
			tongues := append(slices.Clone(old.tongues), c.tongues...)
			if c.weight > old.weight {
				it.candidates[i] = c
			}
			it.candidates[i].tongues = tongues
			return
		}
	}
	it.candidates = append(it.candidates, c)
}

// preferLanguage finds the language that most headings are in and makes
// meanings of other languages less likely ("Data" is a date in Portuguese).
func (g *guesser) preferLanguage() {
	votes := map[string]float64{}
	mine := make([]float64, len(g.items)) // the vote of an item for each of its languages
	for i, it := range g.items {
		own := map[string]bool{}
		for _, c := range it.candidates {
			for _, l := range c.tongues {
				own[l] = true
			}
		}
		mine[i] = 1 / float64(max(1, len(own)))
		for l := range own {
			votes[l] += mine[i]
		}
	}
	best := ""
	for _, l := range slices.Sorted(maps.Keys(votes)) {
		if votes[l] > votes[best] {
			best = l
		}
	}
	for i, it := range g.items {
		for _, c := range it.candidates {
			if len(c.tongues) == 0 || slices.Contains(c.tongues, best) {
				continue
			}
			own := 0.0
			for _, l := range c.tongues {
				own = max(own, votes[l])
			}
			c.weight *= 0.85
			if votes[best] > 2*own {
				c.weight *= 0.85
			}
			c.foreign = votes[best] > 2*(own-mine[i])
		}
	}
}

// OfSomethingElse reports whether a text speaks of what is done with a sheet, or
// of another time than that of the captures: entered, printed, last, next.
func OfSomethingElse(text string) bool {
	know := draftKnowledge()
	return know.hasKind(know.read(text).words, laterWord)
}
