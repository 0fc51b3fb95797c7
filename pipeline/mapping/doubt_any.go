package mapping

import (
	"slices"
	"strings"
	"unicode/utf8"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
	"spadefoot/pipeline/vocabulary"
)

// anything is every meaning.
func (t *trial) anything() bool { return true }

// againstEmpty are objections that hold without values.
var againstEmpty = []objection{
	totalBesideCounts,
	{why: "one letter stands for several things, and no value shows for which",
		when: func(t *trial) bool { return t.reading.letters() == 1 }},
}

// againstAny are objections against meanings of all kinds.
var againstAny = []objection{
	totalBesideCounts,
	{why: "only its spelling is like a known heading, and the values do not show what it is",
		when: func(t *trial) bool {
			return t.spelt && (!t.discriminating() || t.rivalled())
		}},
	{why: "only its spelling is like a known heading, and nothing else says that animals were measured",
		when: func(t *trial) bool { return t.spelt && t.measured() && t.unstated() && !t.saysElsewhere() }},
	{why: "only its spelling is like a known heading, and another column has that heading",
		when: func(t *trial) bool { return t.spelt && t.saidInFull(t.it, t.candidate) }},
	{why: "it is only the beginning of a heading in another language than the others",
		when: func(t *trial) bool { return t.cut && t.foreign }},
	{why: "there are no columns of the names and of the values of measurements, one in each row",
		when: func(t *trial) bool {
			switch t.meaning.Role {
			case record.NameColumn, record.ValueColumn, record.UnitColumn:
				return t.withRole(record.NameColumn) == nil || t.withRole(record.ValueColumn) == nil
			}
			return false
		}},
	{why: "the heading is about another animal than that of the row",
		when: func(t *trial) bool {
			return (t.measured() || isMark(t) || t.meaning.Role == record.Term && t.partial) && t.ofAnotherAnimal()
		}},
	{why: "another column has the heading %q, and this one says something else of that",
		when:    func(t *trial) bool { return t.besideItsWord() != "" },
		figures: func(t *trial) []any { return []any{t.besideItsWord()} }},
	{why: "the values say whether an animal was caught before",
		when: func(t *trial) bool {
			return t.meaning.Role == record.Term && !t.is("occurrenceRemarks") && t.p.ofTexts(vocabulary.SaysRecaught) > 0.3
		}},
	{why: "the values of another column suggest it as well, and neither heading says which of them it is",
		when: func(t *trial) bool {
			return t.meaning.Role == record.Term && t.weight == 0 && t.alikeByValues()
		}},
	{why: "the heading explains codes, and the values are not among them",
		when: func(t *trial) bool {
			return t.meaning.Role == record.Term && len(t.meaning.Vocabulary) == 0 && slices.Contains([]string{kindPlace, kindPerson, kindIdentifier, kindLabel}, t.kind) &&
				len(codesIn(t.table.Columns[t.it.columns[0]].Heading)) > 0
		}},
	{why: "the heading says left or right, and an animal has one of it",
		when: func(t *trial) bool {
			whole := t.know.writtenOut(t.reading.words)
			return t.unstated() && (t.meaning.IsMass() || t.measured() && t.dimension() == "frequency") && (slices.Contains(whole, "left") || slices.Contains(whole, "right"))
		}},
	{why: "the value states units of measurements",
		when: func(t *trial) bool {
			return slices.Contains([]string{kindPlace, kindLabel, kindIdentifier, kindPerson}, t.kind) && t.p.distinct == 1 && t.know.statesUnits(t.p.texts[0])
		}},
	{why: "the letters mean it in another language than the other headings have",
		when: func(t *trial) bool {
			return t.kind == kindIdentifier && t.foreign && t.p.decimals > 0 && utf8.RuneCountInString(t.candidate.heading) <= longestInitials
		}},
	{why: "the values are names of animals",
		when: func(t *trial) bool {
			return (t.kind == kindPlace || t.kind == kindLabel) && t.weight < 0.75 && t.p.ofTexts(t.know.latin) > 0.9
		}},
	{why: "%d of %d numbers are 0, which names nothing",
		when: func(t *trial) bool {
			return slices.Contains([]string{kindPlace, kindLabel, kindMedia}, t.kind) && t.p.numeric > 0.9 && 10*t.p.zeros() > t.p.filled
		},
		figures: func(t *trial) []any { return []any{t.p.zeros(), t.p.filled} }},
	{why: "there are only %d different texts in %d rows, too few for pictures or recordings",
		when: func(t *trial) bool {
			return t.kind == kindMedia && t.partial && t.p.filled > 10 && 3*t.p.distinct < t.p.filled && !t.p.yesNo()
		},
		figures: differentOfRows},
	{why: "numbers that occur more than once may be how many there are",
		when: func(t *trial) bool {
			return t.kind == kindMedia && t.p.numeric > 0.9 && t.p.filled > 10 && t.p.unique < 0.9
		}},
	{why: "the values are numbers with decimals, and neither places nor visits are",
		when: func(t *trial) bool {
			return (t.kind == kindPlace && !t.is(placeTerms...) || t.is("eventID")) && t.p.numeric > 0.9 && t.p.whole < 0.5
		}},
	{why: "hardly any of the numbers comes again, and such places have names",
		when: func(t *trial) bool {
			return t.kind == kindPlace && !t.is(placeTerms...) && !t.is(administrative...) && t.p.numeric > 0.9 && t.p.unique > 0.5 && t.p.filled > 5
		}},
	{why: "the values are days",
		when: func(t *trial) bool {
			return t.meaning.Role == record.Term && (t.kind == kindText || t.kind == "") && !t.named && !strings.HasPrefix(t.meaning.Term, "verbatim") && t.p.dates > 0.5
		}},
	{why: "a plural over numbers is a count",
		when: func(t *trial) bool {
			return (t.kind == kindPlace || t.kind == kindLabel) && t.p.numeric > 0.9 && strings.HasSuffix(strings.ToLower(t.it.heading), "s")
		}},
	{why: "words and a number of the heading are left over, and say something else of it",
		when: func(t *trial) bool {
			return t.kind == kindNumber && t.partial && t.reading.number >= 0
		}},
	{why: "the heading identifies something, and the values do not describe it",
		when: func(t *trial) bool {
			return t.meaning.Role == record.Term && (t.kind == kindText || t.kind == "" || t.is("samplingEffort")) && t.know.hasKind(t.reading.words, identityWord) && !identifies().MatchString(t.meaning.Term)
		}},
	{why: "no other column names species or types, and other works have authors too",
		when: func(t *trial) bool {
			return t.is("scientificNameAuthorship") && !t.named && !t.besideTerm(taxonTerms...) && !t.besideTerm("typeStatus")
		}},
	{why: "all values end in the same word, and species have names of their own",
		when: func(t *trial) bool {
			return t.is("scientificName") && t.weight == 0 && t.p.distinct > 1 && t.p.endAlike()
		}},
	{why: "the values are yes and no",
		when: func(t *trial) bool {
			return t.p.yesNo() && (slices.Contains([]string{kindMedia, kindPlace, kindLabel, kindPerson, kindIdentifier, kindName, kindVernacular}, t.kind) || t.kind == kindText && t.meaning.Role == record.Term ||
				t.is("individualCount") && !t.named && (t.weight < 1 || t.p.numeric < 1) || t.is("preparations", "verbatimCoordinateSystem") || t.meaning.Part == record.Bag || t.meaning.Part == record.Scale ||
				(t.measured() || t.meaning.Role == record.WeighPart) && t.p.filled > 5)
		}},
}

var totalBesideCounts = objection{why: "it stands beside counts of animals",
	when: func(t *trial) bool { return t.meaning.Measurement == "totalLength" && t.unstated() && t.besideCounts() }}

// identifies matches terms that are codes or identifiers by their names.
var identifies = pattern.Of(`(Code|ID|Numbers?)$`)

// besideItsWord returns the heading of a column that has no other word than the one
// that the meaning was found by, and means something else: beside "Net", "Net Ht" is
// no net mass. It returns "" for none.
func (t *trial) besideItsWord() string {
	for _, o := range t.items {
		if t.partial && o != t.it && o.chosen != nil && slices.Equal(t.readings[o.columns[0]].words, []string{t.word}) && meaningKey(o.chosen.meaning) != meaningKey(t.meaning) {
			return o.heading
		}
	}
	return ""
}

// ofAnotherAnimal reports whether the heading names a parent or a partner of the
// animal of the row; over eggs and young, also a male or a female.
func (t *trial) ofAnotherAnimal() bool {
	words := t.reading.words
	return len(words) > 1 && (t.know.hasKind(words, parentWord) || t.know.hasKind(words, grownWord) && t.ofYoung())
}

// ofYoung reports whether the rows are eggs or young: a column names or numbers
// them, is about laying, hatching or fledging, or has ages in days or weeks.
func (g *guesser) ofYoung() bool {
	return g.ofEggs() || slices.ContainsFunc(g.readings, func(r reading) bool {
		return g.know.hasKind(r.words, youngWord) || (r.unit == "d" || r.unit == "wk") && slices.Contains(r.words, "age")
	})
}

// saidInFull reports whether another column was given the same meaning by its whole
// heading.
func (g *guesser) saidInFull(it *item, c *candidate) bool {
	return g.beside(it, func(o *item) bool {
		return !o.chosen.spelt && o.chosen.weight > 0 && !o.chosen.partial && meaningKey(o.chosen.meaning) == meaningKey(c.meaning)
	})
}

// alikeTold reports whether another column may be the same measurement by the same
// part of its heading, the rest of which nobody here knows: "EyeH" and "EyeV".
func (t *trial) alikeTold() bool {
	return slices.ContainsFunc(t.items, func(o *item) bool {
		if o != t.it && t.word != "" && t.measured() && o.chosen != nil && isMeasured(o.chosen) && meaningKey(o.chosen.meaning) != meaningKey(t.meaning) && slices.Contains(t.readings[o.columns[0]].words, t.word) {
			return true // "tail orig" and "tail regen"
		}
		return o != t.it && o.may(func(c *candidate) bool { return c.partial && meaningKey(c.meaning) == meaningKey(t.meaning) })
	})
}

// alikeByValues reports whether the values alone suggest the same term for another
// column that nothing else explains, such as the beginning and the end of a visit.
func (t *trial) alikeByValues() bool {
	return slices.ContainsFunc(t.items, func(o *item) bool {
		return o != t.it && (o.chosen == nil || o.chosen.weight == 0) && o.may(func(c *candidate) bool {
			supported := c.score > byValuesAlone || slices.ContainsFunc(o.withdrawn, func(w withdrawal) bool { return w.candidate == c })
			return c.weight == 0 && supported && meaningKey(c.meaning) == meaningKey(t.meaning)
		})
	})
}

// besideCounts reports whether several columns count the animals that their headings name.
func (g *guesser) besideCounts() bool {
	return count(len(g.items), func(i int) bool { return g.counted(g.items[i]) }) > 1
}

// rivalled reports whether the spelling of a heading is as near to that of
// another measurement: "Larg" to a width in one language, a length in another.
func (t *trial) rivalled() bool {
	return t.it.may(func(o *candidate) bool {
		return o.spelt && o.meaning.Role == record.Measurement && o.meaning.Measurement != t.meaning.Measurement && o.score >= t.score-4 && o.weight >= 0.8*t.weight
	})
}

// generalHeading is the weight below which a heading has several meanings.
const generalHeading = 0.8

// discriminating reports whether values of such a kind would not be found under
// most other headings.
func (t *trial) discriminating() bool {
	p := t.p
	switch t.meaning.Role {
	case record.Measurement:
		return p.numeric > 0.8 && t.known().Of != "eggs"
	case record.WeighPart:
		return t.meaning.IsMass() && p.numeric > 0.8
	case record.Term:
		switch t.kind {
		case kindDate:
			return p.dates > 0.8
		case kindTime:
			return p.times > 0.8
		case kindLatitude, kindLongitude, kindNorthing, kindEasting:
			return p.numeric*(1-p.whole) > 0.8 || p.degrees > 0.8
		case kindName:
			return p.ofTexts(t.know.latin) > 0.5
		case kindVernacular:
			return p.ofTexts(t.know.vernacular) > 0.5
		case kindWord:
			list := t.know.listOf(t.meaning.Term)
			return list != nil && p.ofTexts(func(text string) bool { _, ok, _ := list.Known(text, nil); return ok }) > 0.8
		case kindPerson:
			return p.unique < 0.5 && p.ofTexts(personal().MatchString) > 0.9
		case kindIdentifier:
			return p.unique > 0.9
		}
	}
	return false
}
