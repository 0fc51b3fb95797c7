package mapping

import (
	"cmp"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// Draft is a proposed mapping for the tables of one sheet.
type Draft struct {
	Name    string
	Key     []string
	Session []string
	Marks   string // the term within which a mark names one animal, "" where nothing shows that
	Way     record.WeighWay
	Guesses []*ColumnGuess // one per heading, in the order of the sheet
	// Language is the one that the headings are in (ISO 639-1), "" where that
	// stays open.
	Language string

	whyMarks   string
	keyRepeats bool // the key names some captures alike
	bagTold    bool // a person said that the masses are those of the animals alone
}

// Propose guesses the meaning of the columns of a sheet's tables and settles
// what follows from them: the key, the session, the way of weighing. Where a
// heading is in several tables the surest guess counts. The draft can be
// applied to every one of the tables. The tables are not changed.
func Propose(name string, tables []record.Table, clues Clues) *Draft {
	spread := make([]record.Table, len(tables))
	for i := range tables {
		spread[i] = clone(tables[i])
		Spread(&spread[i])
	}
	d := &Draft{Name: name}
	d.gather(Guess(spread, clues))
	d.settle(tables, clues)
	d.Way = wayOf(d.Guesses)
	votes := languageVotes(d.Guesses)
	d.Language = languageOf(votes)
	d.orderDates(votes, spread)
	d.Key, d.keyRepeats = d.keyOf(tables, clues)
	if d.Has("organismID") {
		d.Marks, d.whyMarks = marksWithin(d.Texts([]string{"organismID", "scientificName", "vernacularName", "locality", "sex"}, tables, clues))
	}
	d.Session = d.session()
	return d
}

// session is when and where captures of one session were made: the day, or else the year,
// and the first term of a place that there is.
func (d *Draft) session() (terms []string) {
	switch {
	case d.dated():
		terms = append(terms, "eventDate")
	case d.Has("year"):
		terms = append(terms, "year")
	}
	places := []string{"locality", "waterBody", "locationID"}
	if i := slices.IndexFunc(places, func(term string) bool { return d.Has(term) }); i >= 0 {
		terms = append(terms, places[i])
	}
	return terms
}

// NameCaptures settles the key anew from the tables of one sheet, where several
// sheets share the draft and each numbers its own captures.
func (d *Draft) NameCaptures(tables []record.Table, clues Clues) {
	d.Key, d.keyRepeats = d.keyOf(tables, clues)
}

// IsSpeciesList reports whether the tables list species and no captures: names
// that do not repeat, and no date, number, sex or measurement.
func (d *Draft) IsSpeciesList() bool {
	return !d.measures() && !d.Has(captureTerms...) && slices.ContainsFunc(d.Guesses, func(g *ColumnGuess) bool {
		return g.Seen.Filled >= 3 && (g.Meaning.Term == "genus" || g.Meaning.Term == "scientificName" && 20*g.Seen.Distinct >= 19*g.Seen.Filled)
	})
}

// captureTerms are terms that a list of species has no use for.
var captureTerms = append([]string{"locality", "locationID", "decimalLatitude"}, animalTerms...)

// animalTerms are terms that a list of places has no use for either.
var animalTerms = []string{"eventDate", "eventTime", "year", "sex", "organismID", "recordedBy", "individualCount", "associatedMedia"}

// NamesSpecies reports whether a table may be a short list of species, as another
// table may refer to: it has scientific names, and nothing of captures.
func (d *Draft) NamesSpecies() bool {
	return !d.measures() && !d.Has(captureTerms...) && d.Has("scientificName", "genus")
}

// NamesPlaces reports whether a table may be a list of places that another table
// refers to: it has places, and nothing of captures.
func (d *Draft) NamesPlaces() bool {
	return !d.measures() && !d.Has(animalTerms...) && !d.Has("scientificName", "vernacularName") && d.Has("locality", "locationID", "decimalLatitude", "waterBody")
}

// HasCaptures reports whether a table has something of captures.
func (d *Draft) HasCaptures() bool { return d.measures() || d.Has(animalTerms...) }

// CountsSpecies reports whether a table has counts of several species in each row, and
// nothing of single animals.
func (d *Draft) CountsSpecies() bool {
	return count(len(d.Guesses), func(i int) bool { return d.Guesses[i].Counts }) > 1 && !d.measures() && !d.Has("scientificName", "vernacularName", "sex", "lifeStage", "organismID", "recordNumber", "catalogNumber", "individualCount")
}

// measures reports whether a column holds measurements, their names or their units.
func (d *Draft) measures() bool {
	return slices.ContainsFunc(d.Guesses, func(g *ColumnGuess) bool {
		m := g.Meaning
		return m.Role == record.Measurement || m.Role == record.WeighPart || m.Role >= record.NameColumn && m.Role <= record.UnitColumn
	})
}

// Has reports whether a column has one of the terms.
func (d *Draft) Has(terms ...string) bool {
	return slices.ContainsFunc(d.Guesses, func(g *ColumnGuess) bool {
		return slices.Contains(terms, g.Meaning.Term)
	})
}

// gather keeps the surest guess for each heading.
func (d *Draft) gather(guesses []*ColumnGuess) {
	at, mixed, guessed := map[string]int{}, map[string]bool{}, map[string]bool{}
	for _, g := range guesses {
		k := Fold(g.Heading)
		if k == "" {
			k = g.Heading // no mapping can name it; the draft says so
		}
		if k == "" && !namesWithoutHeading(guesses) {
			continue
		}
		i, again := at[k]
		guessed[k] = guessed[k] || g.Meaning.Guessed
		if again && otherUnit(g.Meaning, d.Guesses[i].Meaning) {
			mixed[k] = true
		}
		switch {
		case !again:
			at[k] = len(d.Guesses)
			d.Guesses = append(d.Guesses, g)
		case (g.Seen.Filled == 0) != (d.Guesses[i].Seen.Filled == 0): // nothing speaks against a meaning in an empty form
			if g.Seen.Filled > 0 {
				d.Guesses[i] = g
			}
		case g.Meaning.Role != record.Unmatched && (d.Guesses[i].Meaning.Role == record.Unmatched || g.Confidence > d.Guesses[i].Confidence):
			d.Guesses[i] = g
		}
	}
	for _, g := range d.Guesses {
		if Fold(g.Heading) == "" && g.Heading != "" && g.Meaning.Role != record.Unmatched {
			g.setAside("a heading without a letter or a digit cannot be named; give it one in the sheet")
		}
		if g.Meaning.Role == record.Measurement && d.sameHeading(guesses, g.Heading) {
			g.Meaning.Replicate = 0 // the columns of one heading are numbered when it is applied
		}
		if mixed[Fold(g.Heading)] && guessed[Fold(g.Heading)] {
			g.setAside("no unit is written, and the numbers in the tables suggest different units.")
		} else if mixed[Fold(g.Heading)] {
			g.Meaning.Unit, g.Meaning.Guessed = "", false
			g.Reason = strings.TrimSuffix(g.Reason, ".") + "; its unit differs between tables, so each table's heading gives it."
		}
	}
}

// namesWithoutHeading reports whether every table has one column at most without a
// heading, and it holds scientific names, as statistics programs write the names of
// rows.
func namesWithoutHeading(guesses []*ColumnGuess) bool {
	tables := map[int]bool{}
	for _, g := range guesses {
		if g.Heading != "" {
			continue
		}
		if tables[g.Table] || g.Meaning.Term != "scientificName" {
			return false
		}
		tables[g.Table] = true
	}
	return len(tables) > 0
}

// withoutHeading is the pattern of a mapping that matches a column without a heading.
const withoutHeading = `\s*`

// otherUnit reports whether two meanings differ in nothing but the unit.
func otherUnit(a, b record.Meaning) bool { return meaningKey(a) == meaningKey(b) && a.Unit != b.Unit }

// sameHeading reports whether a heading is over several columns of one
// table.
func (d *Draft) sameHeading(guesses []*ColumnGuess, heading string) bool {
	tables := map[int]bool{}
	for _, g := range guesses {
		if Fold(g.Heading) != Fold(heading) {
			continue
		}
		if tables[g.Table] {
			return true
		}
		tables[g.Table] = true
	}
	return false
}

// setAside turns what a guess means into the first of its alternatives.
func (g *ColumnGuess) setAside(why string) {
	g.Alternatives = append([]Alternative{{g.Meaning, g.Confidence, g.Reason}}, g.Alternatives...)
	g.Meaning, g.Reason = record.Meaning{}, why
}

// settle gives up meanings until the draft can be applied to all tables: of
// two columns that mean the same single thing the surer one keeps it.
func (d *Draft) settle(tables []record.Table, clues Clues) {
	for range d.Guesses {
		clash := d.clash(tables, clues)
		if clash == nil {
			return
		}
		a, b := d.guessOf(clash.First.Heading), d.guessOf(clash.Second.Heading)
		loser, winner := b, clash.First
		if a != nil && b != nil && a.Confidence < b.Confidence || b == nil {
			loser, winner = a, clash.Second
		}
		if loser == nil {
			return
		}
		why := fmt.Sprintf("column %q is likelier to be %s", winner.Heading, clash.What)
		if a == b {
			why = fmt.Sprintf("several columns have this heading and only one can be %s; give them different headings", clash.What)
		}
		loser.setAside(why)
	}
}

// clash applies the draft and returns the first pair of columns that it cannot
// tell apart.
func (d *Draft) clash(tables []record.Table, clues Clues) *Clash {
	m, known := d.mapping(), Known{Repeatable: clues.Repeatable, OneColumn: true, HeadingParts: quantity.HeadingUnit}
	for i := range tables {
		t := clone(tables[i])
		if _, err := Apply(m, &t, known); err != nil {
			c, _ := err.(*Clash) // Apply gives no other
			return c
		}
	}
	return nil
}

// mapping is the draft as Apply takes it.
func (d *Draft) mapping() *Mapping {
	m := &Mapping{}
	for _, g := range d.Guesses {
		if g.Meaning.Role == record.Unmatched {
			continue
		}
		h := Heading{Heading: g.Heading, names: []string{Fold(g.Heading)}, Term: g.Meaning.Term, Measurement: g.Meaning.Measurement,
			Weighing: g.Meaning.Part, Side: g.Meaning.Side, Replicate: g.Meaning.Replicate, Aside: g.Meaning.Reason, Unit: g.Meaning.Unit, DateOrder: g.Meaning.DateOrder, Angle: g.Meaning.Angle, Observer: g.Meaning.Observer}
		if g.Heading == "" {
			h.Heading, h.names, h.pattern = "", nil, regexp.MustCompile("^"+withoutHeading+"$")
		}
		h.Long = record.LongName(g.Meaning.Role)
		if h.Long != "" {
			h.Words = g.Meaning.Vocabulary
		}
		if g.Meaning.CarryDown {
			h.CarryDown = &g.Meaning.CarryDown
		}
		m.Headings = append(m.Headings, h)
	}
	return m
}

// guessOf returns the guess that a heading was matched by.
func (d *Draft) guessOf(heading string) *ColumnGuess {
	names := []string{Fold(heading)}
	if _, rest, ok := quantity.HeadingUnit(heading); ok {
		names = append(names, Fold(rest))
	}
	for _, name := range names {
		for _, g := range d.Guesses {
			if Fold(g.Heading) == name && g.Meaning.Role != record.Unmatched {
				return g
			}
		}
	}
	return nil
}

// languageVotes counts the headings that are in each language, and mean there what they
// were taken for. A heading of several languages counts in each.
func languageVotes(guesses []*ColumnGuess) map[string]int {
	know := draftKnowledge()
	votes := map[string]int{}
	for _, g := range guesses {
		seen, meant := map[string]bool{"": true}, cmp.Or(g.Meaning.Term, g.Meaning.Part, g.Meaning.Measurement)
		names := []string{strings.TrimSuffix(g.Heading, " "+g.Meaning.Observer)}
		if _, rest, ok := quantity.HeadingUnit(g.Heading); ok {
			names = append(names, rest)
		}
		for _, n := range names {
			for _, h := range know.headings[vocabulary.Fold(n)] {
				if !seen[h.Language] && (meant == "" || meant == cmp.Or(weighed[h.Value], h.Value)) {
					seen[h.Language] = true
					votes[h.Language]++
				}
			}
		}
	}
	return votes
}

// fewestVotes is the number of headings from which they tell a language.
const fewestVotes = 3

// languageOf tells the language that most headings are in: twice as many as in
// any other, and three at least.
func languageOf(votes map[string]int) string {
	best, second := "", 0
	for _, l := range slices.Sorted(maps.Keys(votes)) {
		if votes[l] > votes[best] {
			best, second = l, votes[best]
		} else {
			second = max(second, votes[l])
		}
	}
	if votes[best] < fewestVotes || votes[best] < 2*second {
		return ""
	}
	return best
}

// dayFirst are languages in which the day is before the month in dates
// written with numbers (short patterns of Unicode's CLDR; of all their countries
// only Panama and Puerto Rico put the month first).
var dayFirst = []string{"cs", "da", "de", "es", "fr", "id", "it", "nl", "pl", "pt", "sv"}

// DayFirst reports whether the day is before the month in a language.
func DayFirst(language string) bool { return slices.Contains(dayFirst, language) }

// orderDates reads dates of which none shows the order of day and month in that
// of the language of the headings, or of all that they may be in.
func (d *Draft) orderDates(votes map[string]int, tables []record.Table) {
	most := 0
	for _, n := range votes {
		most = max(most, n)
	}
	for language, n := range votes {
		if most < fewestVotes || 2*n > most && !DayFirst(language) {
			return
		}
	}
	for _, g := range d.Guesses {
		if g.Meaning.Term != "eventDate" || g.Meaning.DateOrder != "" {
			continue
		}
		var e calendar.Evidence
		for t := range tables {
			for c, column := range tables[t].Columns {
				if Fold(column.Heading) != Fold(g.Heading) {
					continue
				}
				for _, row := range tables[t].Rows {
					if c < len(row.Cells) && row.Cells[c].Kind != record.Date {
						e.Add(row.Cells[c].Text)
					}
				}
			}
		}
		order, open := e.Decide(calendar.Unknown)
		if inLanguage, _ := e.Decide(calendar.DMY); order == calendar.Unknown && open > 0 && !e.Shown() && inLanguage == calendar.DMY {
			g.Meaning.DateOrder = calendar.DMY.String()
			g.Reason = strings.TrimSuffix(g.Reason, ".") + "; no date shows whether the day or the month comes first, and in the language of the headings the day does."
		}
	}
}

func clone(t record.Table) record.Table {
	t.Columns = slices.Clone(t.Columns)
	t.Rows = slices.Clone(t.Rows)
	for i := range t.Rows {
		t.Rows[i].Cells = slices.Clone(t.Rows[i].Cells)
	}
	return t
}

// wayOf settles the way of weighing from the parts that were found.
func wayOf(guesses []*ColumnGuess) record.WeighWay {
	has := map[string]bool{}
	for _, g := range guesses {
		if g.Meaning.Role == record.WeighPart {
			has[g.Meaning.Part] = true
		}
	}
	switch {
	case has[record.Gross] && has[record.Tare]:
		return record.SameRow
	case has[record.Gross]:
		return record.NoTare
	case has[record.Net]:
		return record.AsWritten
	}
	return ""
}
