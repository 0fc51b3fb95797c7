package mapping

import (
	"slices"
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
	"spadefoot/pipeline/vocabulary"
)

// statedUnits are the units that lines above a table give: "All lengths in
// inches, weights in oz", "SVL mm". They hold for what is measured under a
// heading without its own unit.
type statedUnits struct {
	ofAll map[string]string // by dimension: the line speaks of lengths or masses as such
	of    map[string]string // by measurement
}

// stated returns the unit that was stated for a measurement of a dimension, or "".
func (s statedUnits) stated(measurement, dimension string) string {
	if u, ok := s.of[measurement]; ok {
		return u
	}
	return s.ofAll[dimension]
}

// maxWords is how many words a statement of a unit has: what is longer is prose.
const maxWords = 6

// bareUnits are units that mean nothing else where they are alone between
// marks: "mm, g".
var bareUnits = map[string]string{"mm": "mm", "cm": "cm", "g": "g", "kg": "kg", "°C": "Cel"}

// ofAnimals are the units in which people measure animals and hardly anything else.
var ofAnimals = []string{"mm", "[in_i]", "g", "[oz_av]"}

var betweenStatements = pattern.Of(`[,;:]|\.\s|\s/\s|\s(?:and|und|et|y|&)\s`)

// inBrackets are words between brackets, unitInBrackets one of them that may be a unit,
// and unlessStated what follows a statement that leaves room for others: "(lengths in
// inches unless noted)".
var (
	inBrackets     = pattern.Of(`\(([^()]*\s[^()]*)\)?`)
	unitInBrackets = pattern.Of(`\((?:in\s+)?(\pL+)\)`)
	unlessStated   = pattern.Of(`(?i)\s(?:unless|except|salvo|sauf|außer|falls nicht|tenzij|tranne|om inte)\s.*`)
)

// unitsAbove reads the lines above a table. What two lines state differently is
// stated by neither.
func (k *knowledge) unitsAbove(t *record.Table) statedUnits {
	s := statedUnits{map[string]string{}, map[string]string{}}
	for _, l := range t.Labels {
		if len(l.Cell.Text) > 200 {
			continue
		}
		text := l.Cell.Text
		if _, ok := quantity.FindUnit(strings.TrimSpace(text)); ok {
			text = l.Name + " (" + strings.TrimSpace(text) + ")"
		}
		k.statements(&s, text)
	}
	return s
}

// statesUnits reports whether a text states the unit of something measured.
func (k *knowledge) statesUnits(text string) bool {
	s := statedUnits{map[string]string{}, map[string]string{}}
	k.statements(&s, text)
	return len(s.ofAll)+len(s.of) > 0
}

// statements takes up the statements of a line.
func (k *knowledge) statements(s *statedUnits, text string) {
	text = unitInBrackets().ReplaceAllStringFunc(text, func(part string) string {
		unit := unitInBrackets().FindStringSubmatch(part)[1]
		if _, ok := quantity.FindUnit(unit); !ok {
			return part
		}
		return "(" + unit + "); " // "Measurements (in mm) of the type series"
	})
	var before []string // what one unit may hold for: "wing, bill and tarsus in mm"
	for _, part := range betweenStatements().Split(inBrackets().ReplaceAllString(text, "; $1; "), -1) {
		part = strings.Trim(strings.TrimSpace(unlessStated().ReplaceAllString(part, "")), ".")
		switch code, bare := bareUnits[part]; {
		case bare:
			state(s.ofAll, quantity.Dimension(code), code)
		case k.statement(s, part):
			code, _, _ := quantity.HeadingUnit(part)
			for _, name := range before {
				k.statement(s, name+" ("+code+")")
			}
			before = nil
		case k.namesMeasured(part):
			before = append(before, part)
		default:
			before = nil
			if code, _, ok := quantity.HeadingUnit(part); ok && slices.Contains(ofAnimals, code) && s.ofAll[quantity.Dimension(code)] != "" {
				state(s.ofAll, quantity.Dimension(code), code) // "lengths in inches, from July on in mm"
			}
		}
	}
}

// statement takes up one statement and reports whether it is one: some words that
// end with a unit, without a number: "lengths in mm", "Frogs weighed in g".
// "Traps 10 m apart" states none, nor does "Pond in Ayr".
func (k *knowledge) statement(s *statedUnits, text string) bool {
	if len(strings.Fields(text)) > maxWords || strings.ContainsAny(text, "0123456789=") {
		return false
	}
	code, rest, ok := quantity.HeadingUnit(text)
	if !ok {
		return false
	}
	dimension := quantity.Dimension(code)
	words := strings.Fields(Fold(rest))
	for from := range words {
		for _, form := range [][]string{words[from:], singular(words[from:])} {
			specific := false
			for _, h := range k.headings[strings.Join(form, "")] {
				switch {
				case h.Role == vocabulary.HeadingLong && h.Value != "unit", h.Role == vocabulary.HeadingWeighing && dimension == "mass",
					h.Role == vocabulary.HeadingMeasurement && dimension == "mass" && weighed[h.Value] != "", h.Value == dimension:
					state(s.ofAll, dimension, code)
					return true
				}
			}
			for _, h := range k.headings[strings.Join(form, "")] {
				if h.Role == vocabulary.HeadingMeasurement && k.measurements[h.Value].Dimension == dimension {
					state(s.of, h.Value, code)
					specific = true
				}
			}
			if specific {
				return true
			}
		}
		if k.wordKinds[measuringWord][vocabulary.Fold(words[from])] && (dimension == "length" || dimension == "mass") {
			state(s.ofAll, dimension, code)
			return true
		}
	}
	return false
}

// namesMeasured reports whether a text is the name of something measured and
// nothing more.
func (k *knowledge) namesMeasured(text string) bool {
	return slices.ContainsFunc(k.headings[vocabulary.Fold(text)], func(h vocabulary.Heading) bool { return h.Role == vocabulary.HeadingMeasurement })
}

func state(units map[string]string, what, code string) {
	if before, twice := units[what]; twice && before != code {
		code = ""
	}
	units[what] = code
}

// unitAbove is the unit that a line above the table gives for what a column
// measures, or "".
func (a *application) unitAbove(m record.Meaning) string {
	if a.units == nil {
		a.units = &statedUnits{}
		if len(a.t.Labels) > 0 {
			*a.units = draftKnowledge().unitsAbove(a.t)
		}
	}
	if len(a.units.of)+len(a.units.ofAll) == 0 {
		return ""
	}
	switch {
	case m.Role == record.Measurement && a.known.UnitOf != nil:
		return a.units.stated(m.Measurement, quantity.Dimension(a.known.UnitOf(m.Measurement)))
	case m.IsMass():
		return a.units.stated("bodyMass", "mass")
	}
	return ""
}

// unitStated is the unit that a line above the table gives an item whose likely
// meanings are all of one dimension.
func (g *guesser) unitStated(it *item) string {
	unit := ""
	for _, c := range it.candidates {
		u := ""
		switch {
		case c.weight == 0, c.meaning.Role != record.Term && c.meaning.Role != record.Measurement && c.meaning.Role != record.WeighPart:
			continue // the values alone speak for it, or it would be another kind of sheet
		case c.meaning.Role == record.Measurement:
			u = g.stated.stated(c.meaning.Measurement, g.know.measurements[c.meaning.Measurement].Dimension)
		case c.meaning.IsMass():
			u = g.stated.stated("bodyMass", "mass")
		}
		if u == "" || unit != "" && u != unit {
			return ""
		}
		unit = u
	}
	return unit
}
