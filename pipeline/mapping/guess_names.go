package mapping

import (
	"slices"
	"strings"

	"spadefoot/pipeline/record/pattern"
	"spadefoot/pipeline/vocabulary"
)

var (
	binomial   = pattern.Of(`^\p{Lu}(\p{Ll}+ |\p{Ll}{0,3}\. ?)(?:\(\p{Lu}\p{Ll}+\) )?(cf\. |aff\. )?([a-z-]{3,})\.?( |$|\?)`)
	speciesKey = pattern.Of(`^(\p{Lu}{2,6}|\p{Lu}{2,4}\d?)$`)
	epithet    = pattern.Of(`^[a-z-]{3,}$`)
	rankName   = pattern.Of(`^(\p{Lu}\p{Ll}{2,}|\p{Lu}{4,})( ?\?)?$`) // Hyla, HYLIDAE
	latinEnd   = pattern.Of(`(us|a|um|is|i|ae|e|ensis|ns|x|or|er|ops|on|es|as|os|ys|ur|ul)$`)
)

// latin reports whether a text has the shape of a scientific name, and none of
// its words is one of everyday language: "Bull Trout" and "Before" are not.
func (k *knowledge) latin(text string) bool {
	text = strings.ReplaceAll(text, "_", " ")
	if i := strings.IndexByte(text, '('); i > 0 && k.latin(strings.Trim(text[i:], "() ")) {
		return true // "Adelie Penguin (Pygoscelis adeliae)"
	}
	words := strings.Fields(text)
	if len(words) == 0 {
		return false
	}
	genus := vocabulary.Fold(words[0])
	known := k.genera[genus]
	lower, capitals := strings.ToLower(text), text == strings.ToUpper(text)
	if (known || capitals && latinEnd().MatchString(genus)) && !k.everyday[genus] && (capitals || text == lower) {
		text = strings.ToUpper(lower[:1]) + lower[1:] // "pseudacris crucifer", "ORCONECTES VIRILIS", of a genus that is no word for an animal
		known = false                                 // so that the second word has to be Latin too
	}
	m := binomial().FindStringSubmatch(text)
	if m == nil || !strings.ContainsAny(text, " .") {
		return false
	}
	for _, w := range words {
		if f := vocabulary.Fold(w); k.everyday[f] && (f != genus || !k.genera[genus]) && !k.names[genus+f] {
			return false
		}
	}
	return known || latinEnd().MatchString(m[3]) && !k.heads(m[3])
}

// heads reports whether a word is a heading, or one that changes nothing in them: no
// animal is called a trap site or field data.
func (k *knowledge) heads(word string) bool {
	f := vocabulary.Fold(word)
	return len(k.headings[f]) > 0 || k.wordKinds[fillerWord][f]
}

// ofKnownGenus reports whether a text is a scientific name of a genus known here.
func (k *knowledge) ofKnownGenus(text string) bool {
	genus, _, _ := strings.Cut(text, " ")
	return k.genera[vocabulary.Fold(genus)] && k.latin(text)
}

// vernacular reports whether a text reads as a name of everyday language.
func (k *knowledge) vernacular(text string) bool {
	if slices.ContainsFunc(vocabulary.FoldEach(headingParts(text)), func(part string) bool { return k.everyday[part] }) {
		return true
	}
	return strings.ContainsFunc(text, vocabulary.IsSign) || strings.Contains(text, " ") && !k.latin(text)
}

// callsAnimal reports whether a text without a number names a kind of animal: "Great tit".
func (k *knowledge) callsAnimal(text string) bool {
	return !digits().MatchString(text) && slices.ContainsFunc(vocabulary.FoldEach(headingParts(text)), func(part string) bool { return k.animals[part] })
}

// fitNames weighs names of species: by the checklist, by their shape.
func (g *guesser) fitNames(c *candidate, p *profile) {
	if g.clues.Species != nil {
		cache := map[string]bool{}
		known := p.ofTexts(func(t string) bool {
			v, seen := cache[t]
			if !seen {
				v = g.clues.Species(t)
				cache[t] = v
			}
			return v
		})
		if known > 0.3 {
			c.support(5*known, "%s are names in the checklist", ofValues(known))
			return
		}
	}
	shaped := p.ofTexts(g.know.latin)
	coded := p.ofTexts(speciesKey().MatchString)
	if g.besideGenus() && p.ofTexts(g.know.epithet) > 0.7 {
		c.support(-4, "") // the second words of names
		return
	}
	everyday := p.ofTexts(g.know.vernacular)
	switch {
	case shaped > 0.5:
		c.support(3*shaped, "%s look like scientific names", ofValues(shaped))
	case everyday > 0.3 && (coded < 1 || c.weight == 0):
		c.support(-4, "")
	case coded > 0.7 && p.unique < 0.5:
		c.support(1-4*share(c.weight == 0), "%s can be species codes", ofValues(coded))
	default:
		c.support(-5*p.numeric-5*p.moments()-4*p.ofTexts(codeNumber().MatchString)*share(p.distinct > fewKinds)-share(c.weight == 0)*4-share(p.unique > 0.9 && p.filled > 10)*3-share(p.spaced > 0.5)*2, "")
	}
}

// fitVernacular weighs names of everyday language.
func (g *guesser) fitVernacular(c *candidate, p *profile) {
	everyday := p.ofTexts(g.know.vernacular)
	shaped := p.ofTexts(g.know.latin)
	if c.weight >= 0.9 { // the heading says so: "Spiny lobster" only has the shape of a scientific name
		shaped = p.ofTexts(g.know.ofKnownGenus)
	}
	coded := p.ofTexts(func(t string) bool {
		return speciesKey().MatchString(t) || epithet().MatchString(t) && latinEnd().MatchString(t)
	})
	c.support(balance(everyday, 2.5, 0.3)-5*shaped-2*coded-5*p.numeric-5*p.moments()-4*p.ofTexts(codeNumber().MatchString), "%s are common names", ofValues(everyday))
}

// fitEpithet weighs the second words of scientific names, which need a genus
// beside them.
func (g *guesser) fitEpithet(c *candidate, p *profile) {
	shaped := p.ofTexts(g.know.epithet)
	c.support(balance(shaped, 1, 5), "%s look like epithets", ofValues(shaped))
	if !g.besideGenus() {
		c.support(-4, "")
	} else {
		c.support(2, "the genus has its own column")
	}
}

// epithet reports whether a text has the shape of the second word of a
// scientific name.
func (k *knowledge) epithet(text string) bool {
	return epithet().MatchString(text) && latinEnd().MatchString(text) && !k.everyday[vocabulary.Fold(text)]
}

// besideGenus reports whether a column may hold the genus.
func (g *guesser) besideGenus() bool {
	return g.mayHold(func(c *candidate) bool { return c.meaning.Term == "genus" && c.weight > 0.8 })
}

// ScientificName reports whether a text has the shape of a scientific name of a
// genus and an epithet.
func ScientificName(text string) bool {
	text = strings.TrimSpace(text)
	return draftKnowledge().latin(text) && !strings.Contains(text, "(") && text != strings.ToLower(text) && text != strings.ToUpper(text)
}

// namesAnimal reports whether a line is a scientific name and nothing else, or one
// in brackets behind a name of everyday language.
func namesAnimal(line string) bool {
	name, inside, brackets := strings.Cut(strings.TrimSpace(line), "(")
	if brackets && strings.HasSuffix(inside, ")") {
		name = strings.TrimSuffix(inside, ")")
	}
	return len(strings.Fields(name)) <= 3 && ScientificName(name)
}
