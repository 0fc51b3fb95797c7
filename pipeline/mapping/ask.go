package mapping

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
	"spadefoot/pipeline/record/sorting"
)

// Question is something that a draft could not settle and that a person can.
type Question struct {
	Text    string
	Line    string   // the line of the mapping to change
	Answers []Answer // the first is what the draft says now; none where only the file can answer
	weight  float64
}

// Weight is how much a question matters: what would spoil every row weighs most.
func (q Question) Weight() float64 { return q.weight }

// Answer is one way to settle a question.
type Answer struct {
	Text  string
	apply func()
}

// Give writes the answer into the draft.
func (a Answer) Give() {
	if a.apply != nil {
		a.apply()
	}
}

// Seen is what the values of a column look like, for questions about them.
type Seen struct {
	Filled   int
	Distinct int
	Numbers  int
	Decimals int // most of any number
	Least    float64
	Most     float64
	Texts    []string // a few different ones
	UnitOpen bool     // neither the heading nor the values give the unit

	dateInDoubt string // a date of which day and month may be changed over, where no date tells
}

const textsShown = 4

func (p *profile) seen(unit string) Seen {
	s := Seen{Filled: p.filled, Decimals: p.decimals, Distinct: p.distinct, Numbers: len(p.values), UnitOpen: unit == "", dateInDoubt: dateInDoubt(p.texts)}
	if s.Numbers > 0 {
		s.Least, s.Most = p.least(), p.greatest()
	}
	for _, t := range p.texts {
		if len(s.Texts) < textsShown && !slices.Contains(s.Texts, t) {
			s.Texts = append(s.Texts, t)
		}
	}
	return s
}

// What the kinds of questions weigh. A capture without a name and dates that
// may be other dates spoil every row; a column that stays open loses nothing.
const (
	weightKey      = 100
	weightDates    = 90
	weightUnits    = 80
	weightBag      = 70
	weightUnsure   = 60
	weightUnitOpen = 55
	weightOpen     = 40
)

// SureEnough is the confidence from which a guess raises no question.
const SureEnough = 0.8

// Questions lists what the draft could not settle, the most important first.
func (d *Draft) Questions() []Question {
	var qs []Question
	add := func(q ...Question) { qs = append(qs, q...) }
	add(d.askKey()...)
	for _, dimension := range []string{"mass", "length"} {
		add(d.askUnits(dimension)...)
	}
	add(d.askBag()...)
	for _, g := range d.Guesses {
		switch {
		case g.Meaning.Role == record.Term && g.datesOpen():
			add(g.askDates())
		case g.Seen.Filled == 0:
		case g.Meaning.Role == record.Unmatched:
			add(d.askOpen(g))
		case g.Confidence < SureEnough:
			add(d.askSure(g))
		}
	}
	sorting.StableFunc(qs, func(a, b Question) int { return cmp.Compare(b.weight, a.weight) })
	return qs
}

func (d *Draft) askKey() []Question {
	if len(d.Key) > 0 && !d.keyRepeats {
		return nil
	}
	q := Question{Text: "What identifies one capture? No column numbers them.", Line: "key: [recordNumber]", weight: weightKey,
		Answers: []Answer{{Text: "leave it as it is"}}}
	if d.keyRepeats && len(d.Key) > 0 {
		key, verb := d.Key, "is"
		if len(key) > 1 {
			verb = "together are"
			q.Answers = append(q.Answers, Answer{record.Enumerated(key) + " together", func() { d.Key, d.keyRepeats = key, false }})
		}
		q.Text = fmt.Sprintf("What identifies one capture? %s %s the same for some of them.", record.Enumerated(key), verb)
		q.Line = "key: [" + strings.Join(key, ", ") + "]"
	}
	for _, g := range d.Guesses {
		if slices.Contains(numberTerms, g.Meaning.Term) && !slices.Equal(d.Key, []string{g.Meaning.Term}) {
			q.Answers = append(q.Answers, Answer{fmt.Sprintf("column %q alone", g.Heading), func() { d.Key, d.keyRepeats = []string{g.Meaning.Term}, false }})
		}
	}
	return []Question{q}
}

var numberTerms = []string{"occurrenceID", "recordNumber", "catalogNumber", "organismID", "fieldNumber", "otherCatalogNumbers"}

// usualUnits lists what teams measure in, by dimension.
var usualUnits = map[string][]string{"length": {"mm", "cm", "[in_i]"}, "mass": {"g", "kg", "mg", "[oz_av]", "[lb_av]"}}

// askUnits asks once for all columns of a dimension that have no unit.
func (d *Draft) askUnits(dimension string) []Question {
	units := usualUnits[dimension]
	byUnit := map[string][]*ColumnGuess{}
	for _, g := range d.Guesses {
		if g.Meaning.IsMeasured() && g.Seen.UnitOpen && g.Seen.Numbers > 0 && quantity.Dimension(g.Meaning.Unit) == dimension {
			byUnit[g.Meaning.Unit] = append(byUnit[g.Meaning.Unit], g)
		}
	}
	var qs []Question
	for _, unit := range units {
		all := byUnit[unit]
		if len(all) == 0 {
			continue
		}
		q := Question{Text: fmt.Sprintf(map[bool]string{true: "Is", false: "Are"}[len(all) == 1]+" %s in %s? Nothing says the unit. %s.", headingsOf(all), unitName(unit), all[0].Seen.values()),
			Line: lineOf(all[0]), weight: weightUnits + min(9, float64(len(all)))}
		for _, u := range slices.Concat([]string{unit}, slices.DeleteFunc(slices.Clone(units), func(u string) bool { return u == unit })) {
			q.Answers = append(q.Answers, Answer{unitName(u), func() {
				for _, g := range all {
					g.Meaning.Unit, g.Meaning.Guessed, g.Seen.UnitOpen = u, false, false
				}
			}})
		}
		qs = append(qs, q)
	}
	return qs
}

func unitName(code string) string {
	if name, ok := map[string]string{"[in_i]": "inches", "[oz_av]": "ounces", "[lb_av]": "pounds"}[code]; ok {
		return name
	}
	return code
}

// headingsOf quotes the headings of columns, at most three of them.
func headingsOf(all []*ColumnGuess) string {
	var names []string
	for _, g := range all[:min(3, len(all))] {
		names = append(names, quoted(g.Heading))
	}
	s := strings.Join(names, ", ")
	if n := len(all) - 3; n > 0 {
		s += fmt.Sprintf(" and %d more", n)
	}
	return s
}

// askBag asks what a mass is that is alone.
func (d *Draft) askBag() []Question {
	var net *ColumnGuess
	for _, g := range d.Guesses {
		switch {
		case g.Meaning.Role != record.WeighPart:
		case g.Meaning.Part == record.Net:
			net = g
		default:
			return nil
		}
	}
	if d.bagTold || net == nil || net.Seen.Filled == 0 || strings.Contains(Fold(net.Heading), "net") {
		return nil
	}
	return []Question{{Text: fmt.Sprintf("Is the mass in %q without the bag or cup?", net.Heading), Line: lineOf(net), weight: weightBag,
		Answers: []Answer{{"yes, the animal alone", func() { d.bagTold = true }}, {"no, with the bag", func() { net.Meaning.Part, d.Way = record.Gross, record.NoTare }}}}}
}

func (d *Draft) askOpen(g *ColumnGuess) Question {
	if g.InSomeUnit.Role != record.Unmatched {
		return d.askUnit(g)
	}
	what := "term: …"
	if code, _, ok := quantity.HeadingUnit(g.Heading); ok && g.Seen.Measured() {
		what = "measurement: …, unit: " + Quote(code)
	} else if g.Seen.Measured() && g.Seen.Decimals > 0 {
		what = "measurement: …, unit: …"
	}
	q := Question{Text: fmt.Sprintf("What is %q? %s.", g.Heading, g.Seen.values()), Line: "- {heading: " + Quote(g.Heading) + ", " + what + "}",
		weight: weightOpen, Answers: []Answer{{Text: "leave it open"}}}
	for _, a := range g.Alternatives {
		if a.Meaning.Role != record.Unmatched && (a.Meaning.Role == record.SetAside || !d.given(a.Meaning)) {
			q.Answers = append(q.Answers, Answer{Words(a.Meaning), func() { d.choose(g, a.Meaning) }})
			q.weight += 2 + 10*a.Confidence
		}
	}
	return q
}

// askUnit asks for all that an open column lacks.
func (d *Draft) askUnit(g *ColumnGuess) Question {
	in := func(unit string) record.Meaning {
		m := g.InSomeUnit
		m.Unit, m.Guessed = unit, false
		return m
	}
	q := Question{Text: fmt.Sprintf("In which unit is %q? Nothing says it. %s.", g.Heading, g.Seen.values()), Line: lineWith(g.Heading, in("…")),
		weight: weightUnitOpen, Answers: []Answer{{Text: "leave it open"}}}
	for _, unit := range usualUnits[quantity.Dimension(g.InSomeUnit.Unit)] {
		q.Answers = append(q.Answers, Answer{unitName(unit), func() { d.choose(g, in(unit)) }})
	}
	return q
}

func (d *Draft) askSure(g *ColumnGuess) Question {
	q := Question{Text: fmt.Sprintf("Is %q really %s? %s.", g.Heading, Words(g.Meaning), g.Seen.values()), Line: lineOf(g),
		weight: weightUnsure + 10*(1-g.Confidence), Answers: []Answer{{"yes", func() { g.Confidence, g.Reason = 1, "a person said so." }}}}
	for _, a := range g.Alternatives {
		if a.Meaning.Role != record.Unmatched && !d.given(a.Meaning) {
			q.Answers = append(q.Answers, Answer{"no, " + Words(a.Meaning), func() { d.choose(g, a.Meaning) }})
		}
	}
	q.Answers = append(q.Answers, Answer{"no, leave it open", func() { g.setAside("a person left it open") }})
	return q
}

// given reports whether a column has the meaning already.
func (d *Draft) given(m record.Meaning) bool {
	key := meaningKey(m)
	return key != "" && slices.ContainsFunc(d.Guesses, func(g *ColumnGuess) bool { return meaningKey(g.Meaning) == key })
}

// choose gives a column the meaning that a person chose.
func (d *Draft) choose(g *ColumnGuess, m record.Meaning) {
	g.Meaning, g.Confidence, g.Reason, g.Alternatives, g.Seen.UnitOpen = m, 1, "a person said so.", nil, g.Seen.UnitOpen && m.Guessed
	d.Way = cmp.Or(d.Way, wayOf(d.Guesses))
}

// Words names a meaning within a sentence; "" for none.
func Words(m record.Meaning) string {
	in := ""
	if m.Unit != "" {
		in = " in " + unitName(m.Unit)
	}
	switch m.Role {
	case record.Term:
		return "the term " + m.Term
	case record.SetAside:
		return "to be set aside (" + m.Reason + ")"
	case record.Measurement:
		return m.Measurement + in
	case record.WeighPart:
		return meaningKey(m) + in
	}
	return meaningKey(m)
}

// Measured reports whether most values are numbers.
func (s Seen) Measured() bool { return s.Numbers > 0 && 2*s.Numbers > s.Filled }

func (s Seen) values() string {
	if s.Measured() && s.Least < s.Most {
		return fmt.Sprintf("Values %s to %s", number(s.Least), number(s.Most))
	}
	quotes := make([]string, len(s.Texts))
	for i, t := range s.Texts {
		if r := []rune(t); len(r) > 30 {
			t = string(r[:30]) + "…"
		}
		quotes[i] = quoted(t)
	}
	if len(quotes) == 1 {
		return "Value " + quotes[0]
	}
	return "Values " + strings.Join(quotes, ", ")
}

// Line is the guess as a line of a mapping, "" where there is none.
func (g *ColumnGuess) Line() string {
	if g.Meaning.Role == record.Unmatched {
		return ""
	}
	return lineOf(g)
}

func lineOf(g *ColumnGuess) string { return lineWith(g.Heading, g.Meaning) }

func lineWith(heading string, m record.Meaning) string {
	return "- {" + keyOf(heading) + ", " + meaningYAML(m) + "}"
}

var threeNumbers = pattern.Of(`^(\d{1,2})[/.-](\d{1,2})[/.-](\d{4}|\d{2})\b`)

// datesOpen reports whether the order of day and month is open in every date of
// the column, and stated nowhere.
func (g *ColumnGuess) datesOpen() bool { return g.Seen.dateInDoubt != "" && g.Meaning.DateOrder == "" }

func (g *ColumnGuess) askDates() Question {
	order := func(o string) func() { return func() { g.Meaning.DateOrder = o } }
	return Question{Text: fmt.Sprintf("Which order is %s in %q? No date in the column shows which is day and which is month.", g.Seen.dateInDoubt, g.Heading),
		Line: lineOf(g), weight: weightDates,
		Answers: []Answer{{Text: "leave it as it is"}, {"day, month, year", order("dmy")}, {"month, day, year", order("mdy")}}}
}

// dateInDoubt returns the first of the texts that reads in two orders, or "" where
// one reads in one only, or all are written otherwise.
func dateInDoubt(texts []string) string {
	doubt := ""
	for _, t := range texts {
		m := threeNumbers().FindStringSubmatch(t)
		if m == nil {
			continue
		}
		a, b := m[1], m[2]
		if beyondMonths(a) || beyondMonths(b) {
			return ""
		}
		if a != b && doubt == "" {
			doubt = m[0]
		}
	}
	return doubt
}

func beyondMonths(number string) bool {
	n, _ := strconv.Atoi(number)
	return n > 12
}

// Name makes a name such as crestHeight of the words of a heading, "" where it
// holds letters other than those of English.
func Name(heading string) string {
	name := ""
	for _, part := range headingParts(heading) {
		if strings.ContainsFunc(part, func(r rune) bool { return !('a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' || '0' <= r && r <= '9') }) {
			return ""
		}
		part = strings.ToLower(part)
		if name != "" {
			part = strings.ToUpper(part[:1]) + part[1:]
		}
		name += part
	}
	return strings.TrimLeft(name, "0123456789")
}
