package mapping

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// widestSurvey is how many degrees apart the places of one sheet seldom are (common
// practice).
const widestSurvey = 5

// otherAxis is by a kind of coordinate the kind that makes a position with it.
var otherAxis = map[string]string{kindLatitude: kindLongitude, kindLongitude: kindLatitude, kindNorthing: kindEasting, kindEasting: kindNorthing}

// placed are places and what positions are given in.
func (t *trial) placed() bool {
	return t.kind == kindPlace || otherAxis[t.kind] != "" || t.is(placeTerms...) || t.is("geodeticDatum", "verbatimCoordinateSystem", "coordinateUncertaintyInMeters")
}

var againstPlaces = []objection{
	{why: "the other words of the heading are about time",
		when: func(t *trial) bool {
			return slices.ContainsFunc(t.reading.words, func(w string) bool { return w != t.candidate.heading && t.know.means(w, "eventTime") })
		}},
	{why: "the other words of the heading may make it the accuracy of something else",
		when: func(t *trial) bool {
			return t.is("coordinateUncertaintyInMeters") && t.partial && !slices.ContainsFunc(t.reading.words, func(w string) bool { return w != t.word && t.know.dayOrPlace(w) })
		}},
	{why: "the heading is the name of a place, and the values are numbers",
		when: func(t *trial) bool {
			return (t.kind == kindPlace || t.is(placeTerms...)) && (t.partial || t.know.hasKind(t.reading.words, derivedWord)) && t.p.numeric > 0.9
		}},
	{why: "the values are numbers that nothing explains, and such places have names",
		when: func(t *trial) bool {
			return t.is(administrative...) && !t.named && t.p.numeric > 0.9
		}},
	{why: "the numbers go up to %s, far beyond how many there are, and the heading means other things too",
		when: func(t *trial) bool {
			return t.is(placeTerms...) && !t.namesPlaces() && t.p.numeric > 0.9 && t.know.means(t.candidate.heading, "locality") && t.p.greatest() > manyPlaces && t.p.greatest() > 10*float64(t.p.distinct)
		},
		figures: func(t *trial) []any { return []any{number(t.p.greatest())} }},
	{why: "%q may be that as well, and which of them it is depends on the country",
		when:    func(t *trial) bool { return t.is("stateProvince") && t.rivalState() != nil },
		figures: func(t *trial) []any { return []any{t.rivalState().heading} }},
	{why: "the values are numbered, and such places have names",
		when: func(t *trial) bool {
			return t.is(administrative...) && t.p.ofTexts(codeNumber().MatchString) > 0.5
		}},
	{why: "each row has a number of its own, far beyond what would number that many places",
		when: func(t *trial) bool {
			return t.is(placeTerms...) && t.p.numeric > 0.9 && t.p.filled > 20 && t.p.onceEach() && t.p.counting < 0.5 && t.p.greatest() > manyPlaces*float64(t.p.filled)
		}},
	{why: "the values begin with lower-case letters, unlike place names",
		when: func(t *trial) bool {
			return t.kind == kindPlace && (t.partial || !t.is(placeTerms...) && t.writesNames()) && t.p.ofTexts(beginsSmall) > 0.5 && t.p.ofTexts(beginsLarge) < 0.1
		}},
	{why: "%d different words with small letters are kinds of places, and another column names the places",
		when: func(t *trial) bool {
			return t.is(placeTerms...) && t.know.means(t.candidate.heading, "locality") && t.p.distinct > 1 && t.p.distinct <= fewKinds && t.p.filled > 20 && t.p.ofTexts(beginsSmall) > 0.9 && t.besideTerm(placeTerms...)
		},
		figures: func(t *trial) []any { return []any{t.p.distinct} }},
	{why: "%d different letters may as well be codes of what else the heading means",
		when: func(t *trial) bool {
			return t.is(placeTerms...) && t.p.length == 1 && t.p.numeric < 0.1 && t.p.distinct <= fewKinds && t.p.filled > 20 &&
				t.it.may(func(o *candidate) bool {
					return o.weight >= t.weight && t.know.values[o.meaning.Term].Kind == kindWord
				})
		},
		figures: func(t *trial) []any { return []any{t.p.distinct} }},
	{why: "most rows have a long number of their own, as animals have and places do not",
		when: func(t *trial) bool {
			return t.is(placeTerms...) && t.p.numeric > 0.9 && 2*t.p.distinct > t.p.filled && t.p.length >= longNumber
		}},
	{why: "the values begin with days",
		when: func(t *trial) bool {
			return t.kind == kindPlace && t.p.ofTexts(func(text string) bool {
				first, rest, _ := strings.Cut(text, " ")
				return rest != "" && dateLike(record.Cell{Text: first, Kind: record.Text})
			}) > 0.5
		}},
	{why: "the values are names of visits, not of places",
		when: func(t *trial) bool { return t.is(placeTerms...) && t.p.ofTexts(t.know.namesVisit) > 0.5 }},
	{why: "lines between the rows say it, and nothing says whether they are places, species or visits",
		when: func(t *trial) bool {
			return t.is(placeTerms...) && t.betweenRows() && t.p.ofTexts(t.know.namesPlace) < 0.5 && !t.lacksOnlyPlace()
		}},
	{why: "the heading is a place in another language than the other headings have, and the values are numbers",
		when: func(t *trial) bool { return t.is(placeTerms...) && t.foreign && t.p.numeric > 0.9 }},
	{why: "the heading means other things too, and nothing else says that animals were caught, or when",
		when: func(t *trial) bool {
			return t.is(placeTerms...) && !t.namesPlaces() && !t.besideTerm("eventDate", "eventTime", "eventID", "decimalLatitude", "verbatimLatitude") && !t.aboutAnimals() && t.chosenAs(ofMeasuring) == nil
		}},
	{why: "no column has the other coordinate",
		when: func(t *trial) bool {
			return otherAxis[t.kind] != "" && (t.weight < generalHeading || (t.kind == kindLatitude || t.kind == kindLongitude) && utf8.RuneCountInString(t.reading.whole) <= longestLetters) && t.chosenAs(func(m record.Meaning) bool { return t.know.values[m.Term].Kind == otherAxis[t.kind] }) == nil
		}},
	{why: "the numbers range from %s to %s, farther than a team goes",
		when: func(t *trial) bool {
			return (t.kind == kindLatitude || t.kind == kindLongitude) && t.weight < generalHeading && len(t.p.values) > 0 && t.p.width(nearlyAll) > widestSurvey
		},
		figures: func(t *trial) []any { return []any{number(t.p.least()), number(t.p.greatest())} }},
	{why: "the values are not geodetic datums",
		when: func(t *trial) bool { return t.is("geodeticDatum") && t.p.ofTexts(place.KnownDatum) < 0.5 }},
	{why: "letters alone are not a grid zone",
		when: func(t *trial) bool {
			return t.is("verbatimCoordinateSystem") && !slices.ContainsFunc(t.p.texts, func(s string) bool {
				return digits().MatchString(s) || utf8.RuneCountInString(s) > 3 || strings.EqualFold(s, "utm")
			})
		}},
	{why: "%d different zones are more than one team works in",
		when: func(t *trial) bool {
			return t.is("verbatimCoordinateSystem") && t.p.numeric > 0.9 && t.p.distinct > mostZones
		},
		figures: func(t *trial) []any { return []any{t.p.distinct} }},
	{why: "no column has coordinates",
		when: func(t *trial) bool { return t.is("verbatimCoordinateSystem") && !t.hasCoordinates() }},
}

// namesPlaces reports whether the heading hardly means anything but places.
func (t *trial) namesPlaces() bool {
	return t.it.may(func(c *candidate) bool {
		return slices.Contains(placeTerms, c.meaning.Term) && c.weight >= generalHeading
	})
}

// ofMeasuring reports whether a meaning is a measurement or a part of a weighing.
func ofMeasuring(m record.Meaning) bool { return m.Measurement != "" || m.Role == record.WeighPart }

// mostZones is how many zones of 6 degrees the places of one sheet lie in at most
// (common practice).
const mostZones = 5

// longNumber is how many digits the numbers of transponders have at least, and those of
// traps hardly ever.
const longNumber = 6

// administrative are terms for places that have names.
var administrative = []string{"country", "countryCode", "stateProvince", "county", "municipality"}

// rivalState is another column that may as well be the state or province, nil if there
// is none: departments consist of provinces in one country, and provinces of departments
// in another. What consists of the others is the state; but regions may be of any size.
func (t *trial) rivalState() *item {
	i := slices.IndexFunc(t.items, func(o *item) bool {
		return o != t.it && o.may(func(c *candidate) bool {
			return c.meaning.Term == "stateProvince" && c.weight >= likelyState
		}) && (t.weight < generalHeading || !t.consistsOf(t.it.columns[0], o.columns[0]))
	})
	if i < 0 {
		return nil
	}
	return t.items[i]
}

// likelyState is the weight of a heading that may be the state or province.
const likelyState = 0.65

// consistsOf reports whether the areas of one column have several of another each, which
// lie in one of them.
func (g *guesser) consistsOf(whole, part int) bool {
	inOther, _ := g.changes(part, whole, -1)
	several, _ := g.changes(whole, part, -1)
	return inOther == 0 && several > 0
}

// manyPlaces is how many times as many places as rows nobody numbers.
const manyPlaces = 100

// means reports whether a folded heading is one of those that mean a term: Location means
// locality, and Grid does not.
func (k *knowledge) means(heading, term string) bool {
	return slices.ContainsFunc(k.headings[heading], func(h vocabulary.Heading) bool { return h.Value == term })
}

// betweenRows reports whether an item is of lines between the rows, or above tables, that
// have no name of their own but the one that the layout gives them.
func (t *trial) betweenRows() bool {
	i := t.it.columns[0]
	return slices.Equal(t.reading.words, []string{"section"}) && !slices.ContainsFunc(t.table.Rows, func(row record.TableRow) bool {
		return i < len(row.Cells) && !row.Cells[i].Empty() && !row.Cells[i].Carried
	})
}

// lacksOnlyPlace reports whether other columns say which animals there were, and none
// where.
func (t *trial) lacksOnlyPlace() bool {
	return t.besideTerm(taxonTerms...) && !t.besideTerm("locality", "verbatimLocality", "waterBody")
}

// fewKinds is the number of different words up to which they may be kinds.
const fewKinds = 5

// besideTerm reports whether another column was given one of the terms.
func (t *trial) besideTerm(terms ...string) bool {
	return t.beside(func(o *item) bool { return slices.Contains(terms, o.chosen.meaning.Term) })
}

func beginsLarge(text string) bool {
	r, _ := utf8.DecodeRuneInString(text)
	return unicode.IsUpper(r)
}

// beginsSmall reports whether a text begins with a small letter.
func beginsSmall(text string) bool {
	r, _ := utf8.DecodeRuneInString(text)
	return unicode.IsLower(r)
}

// writesNames reports whether a column begins with capital letters, so that those who
// wrote the sheet would have written names of places with them too.
func (g *guesser) writesNames() bool {
	return slices.ContainsFunc(g.profiles, func(p *profile) bool {
		return p.filled > 5 && p.numeric < 0.1 && p.length > 3 && p.ofTexts(beginsLarge) > 0.9
	})
}

// hasCoordinates reports whether a column was given a part of a coordinate.
func (g *guesser) hasCoordinates() bool {
	return g.chosenAs(func(m record.Meaning) bool { return isCoordinate(g.know.values[m.Term].Kind) }) != nil
}

// isCoordinate reports whether values of the kind are coordinates or parts of them.
func isCoordinate(kind string) bool {
	return slices.Contains([]string{kindLatitude, kindLongitude, kindNorthing, kindEasting, kindPair}, kind)
}
