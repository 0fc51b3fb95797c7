package mapping

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/vocabulary"
)

// Clues is what a draft may know besides the sheets. All of it may be left out.
type Clues struct {
	Species    func(text string) bool      // whether the checklist settles a text
	Repeatable func(term string) bool      // terms that several columns may fill
	Named      func(heading string) string // the term of Darwin Core whose name a heading is, "" for none
	Tools      []Tool                      // the instruments of the survey
	Legend     func(heading string) string // what a list beside the sheets says of a heading, "" for nothing
}

// Tool is an instrument and the unit that it is read in.
type Tool struct{ Name, Unit string }

// ColumnGuess is the likely meaning of one column. Table and Column are places
// in the tables that were given and in their columns. Confidence goes from 0
// to 1: of guesses at 0.9 and above at least nine in ten are right, as
// TestGuessStrangers holds; below minConfidence
// the meaning stays [record.Unmatched] and what was likeliest comes first among
// the alternatives.
type ColumnGuess struct {
	Table, Column int
	Heading       string
	Meaning       record.Meaning
	Usual         string // kind of instrument that such a thing is usually measured with
	Confidence    float64
	Reason        string // one sentence
	Alternatives  []Alternative
	Seen          Seen
	Counts        bool           // it counts the animals that its heading names
	InSomeUnit    record.Meaning // of an open column, a meaning that lacks nothing but its unit, with a likely one
}

// Alternative is another meaning that a column may have, likeliest first.
type Alternative struct {
	Meaning    record.Meaning
	Confidence float64
	Reason     string
}

const (
	minConfidence  = 0.4
	minOfAmbiguous = 0.8 // for letters that stand for several measurements
	alternatives   = 3
)

// least is the confidence below which a meaning stays open.
func least(c *candidate) float64 {
	if c.meaning.Role == record.Measurement && c.weight > 0 && c.weight < generalHeading && len(c.tongues) == 0 {
		return minOfAmbiguous
	}
	return minConfidence
}

// Guess proposes a meaning for every column of every table, from its heading,
// the unit in it, its values, and how they go with those of other columns.
//
// The columns of a table are judged together: no two get the same term,
// measurement and replicate, or part of a weighing, except terms that may be
// repeated. Columns whose headings differ only by a number (SVL1, SVL2) become
// replicates of one measurement. Tables are judged apart from each other. The
// order of the guesses is that of the columns.
func Guess(tables []record.Table, clues Clues) []*ColumnGuess {
	var all []*ColumnGuess
	for i := range tables {
		g := guesser{know: draftKnowledge(), clues: clues, table: &tables[i]}
		all = append(all, g.run(i)...)
	}
	return all
}

// byValuesAlone is the score that a meaning has of which the heading says nothing,
// before the values are looked at.
const byValuesAlone = -2

// guesser judges one table.
type guesser struct {
	know     *knowledge
	clues    Clues
	table    *record.Table
	profiles []*profile // one per column
	readings []reading  // one per column
	legends  []reading  // what the legend says of it, one per column
	stated   statedUnits
	group    string // the group of animals that the table is about, "" where that stays open
	items    []*item

	unlikeSides []int // columns of the left and the right of a part, whose numbers have nothing to do with each other
}

// item is a column, or several that are replicates of each other.
type item struct {
	columns    []int
	replicates []int // numbers of the columns; nil for a single column
	heading    string
	side       string // left or right, where its heading says so
	observer   string // who measured it, where each person has a column
	unit       string // UCUM code that the heading, unit row or cells give
	derived    bool   // the heading speaks of something worked out, as a rate or an error is
	later      bool   // the heading speaks of something other than the capture, as of birth
	restates   string // heading of the column whose numbers it gives in another unit
	series     bool   // the numbers of alike headings are ages or places: the values differ too much for replicates
	candidates []*candidate
	chosen     *candidate
	withdrawn  []withdrawal
}

// candidate is one thing that an item may mean.
type candidate struct {
	meaning  record.Meaning
	weight   float64  // 0 to 1, from the heading; 0 if the values alone speak for it
	score    float64  // logarithm of the odds
	reasons  []string // clauses
	shared   bool     // several columns may mean it
	partial  bool     // words of the heading are left over
	named    bool     // the heading is the name of the term, as the standard writes it
	told     bool     // the legend says it
	heading  string   // the known heading that says it, folded
	word     string   // of those it is said by, folded, where some are left over
	fallback bool     // a like meaning, for where the likelier one is another column's
	spelt    bool     // only its spelling is like that of a known heading
	cut      bool     // the heading is the beginning of a known one
	unnamed  bool     // the heading says that something has a number, and not what
	lower    bool     // the lowest of several heading rows says it by itself
	tongues  []string // the languages of the heading; none for an abbreviation of the trade
	foreign  bool     // other headings are in another language, and few in this one
}

// may reports whether the item may mean what is such.
func (it *item) may(is func(*candidate) bool) bool { return it.first(is) != nil }

// mayHold reports whether a column may mean what is such.
func (g *guesser) mayHold(is func(*candidate) bool) bool {
	return slices.ContainsFunc(g.items, func(it *item) bool { return it.may(is) })
}

// support adds to the score, with the reason if it has one; what speaks against the
// meaning begins with "but".
func (c *candidate) support(score float64, reason string, args ...any) {
	c.score += score
	switch {
	case reason == "":
		return
	case score < 0:
		reason = "but " + reason
	}
	c.reasons = append(c.reasons, fmt.Sprintf(reason, args...))
}

// ofValues begins a reason with a share of the values.
func ofValues(share float64) string {
	if share == 0 {
		return "none of the values"
	}
	return fmt.Sprintf("%.0f %% of the values", 100*share)
}

// repeatable reports whether several columns may have a term.
func (g *guesser) repeatable(term string) bool {
	return g.clues.Repeatable != nil && g.clues.Repeatable(term)
}

// fallBack makes a candidate that of a like term, for where its own is another
// column's.
func (c *candidate) fallBack(term string, weight float64) *candidate {
	o := c.as(term, weight)
	o.fallback = true
	o.reasons = append(o.reasons, fmt.Sprintf("where another column is the %s, this may be %s", c.meaning.Term, term))
	return o
}

// as makes a candidate that of another term.
func (c *candidate) as(term string, weight float64) *candidate {
	o := *c
	o.meaning.Term, o.weight, o.reasons = term, weight, slices.Clone(c.reasons)
	return &o
}

func (g *guesser) run(table int) []*ColumnGuess {
	g.readings = g.know.readColumns(g.table.Columns)
	for i := range g.table.Columns {
		g.legends = append(g.legends, g.know.readLegend(g.legend(i)))
	}
	g.profileColumns()
	g.dropUnitsOfOthers()
	g.group = g.findGroup(-1)
	g.findItems()
	g.stated = g.know.unitsAbove(g.table)
	for _, it := range g.items {
		g.propose(it)
		if it.unit == "" {
			it.unit = g.unitStated(it)
		}
	}
	g.toldApart()
	g.preferLanguage()
	for _, it := range g.items {
		for _, c := range it.candidates {
			if c.weight > 0 {
				c.score = 5*c.weight - 1
			} else {
				c.score = byValuesAlone
			}
			g.fit(it, c)
		}
	}
	g.relate()
	g.closeSeries()
	g.assignTested()
	g.reconsiderGross()
	g.settleUnits()
	g.oneUnit()
	g.tellTerms()
	var out []*ColumnGuess
	for _, it := range g.items {
		out = append(out, g.report(table, it)...)
	}
	sorting.Func(out, func(a, b *ColumnGuess) int { return cmp.Compare(a.Column, b.Column) })
	return out
}

// minOfSeries is the number of columns of one name and running numbers from
// which they are a series of one thing.
const minOfSeries = 4

// numberedSeries finds columns that count on under one name, of which few have a
// meaning by themselves: P3 among P1 to P10 is the third of something, and not
// what P3 stands for alone.
func (g *guesser) numberedSeries() {
	same := map[string][]*item{}
	for _, it := range g.items {
		if r := g.readings[it.columns[0]]; it.replicates == nil && len(r.words) == 1 && r.number >= 0 && r.unit == "" {
			same[r.words[0]] = append(same[r.words[0]], it)
		}
	}
	for _, items := range same {
		known := 0
		for _, it := range items {
			if it.may(isMeasured) {
				known++
			}
		}
		for _, it := range items {
			it.series = it.series || len(items) >= minOfSeries && 2*known < len(items)
		}
	}
}

// closeSeries leaves measurements at several ages or places open.
func (g *guesser) closeSeries() {
	g.numberedSeries()
	for _, it := range g.items {
		for _, c := range it.candidates {
			if it.series && isMeasured(c) {
				c.score = min(c.score, contradicted)
			}
		}
	}
}

// report turns an item into the guesses of its columns.
func (g *guesser) report(table int, it *item) []*ColumnGuess {
	ranked := g.ranked(it)
	var out []*ColumnGuess
	for k, column := range it.columns {
		cg := &ColumnGuess{Table: table, Column: column, Heading: g.table.Columns[column].Heading, Seen: g.profiles[column].seen(it.unit)}
		var best *rankedCandidate
		for i := range ranked {
			if ranked[i].candidate == it.chosen {
				best = &ranked[i]
			} else if len(cg.Alternatives) < alternatives && ranked[i].confidence >= 0.02 {
				cg.Alternatives = append(cg.Alternatives, Alternative{g.meaning(it, ranked[i].candidate, k), ranked[i].confidence, ranked[i].sentence()})
			}
		}
		switch {
		case best == nil:
			cg.Reason, cg.Confidence = g.nothingKnown(it, column, cg.Alternatives), 0
			cg.Counts = g.counted(it)
			if w := it.withdrawn; len(w) > 0 && w[0].ofUnit {
				cg.InSomeUnit = g.meaning(it, w[0].candidate, k)
			}
		case best.meaning.Role == record.SetAside:
			cg.Alternatives = append([]Alternative{{g.meaning(it, best.candidate, k), best.confidence, best.sentence()}}, cg.Alternatives...)
			cg.Reason = "a person decides what is set aside."
		case best.confidence < least(best.candidate):
			cg.Alternatives = append([]Alternative{{g.meaning(it, best.candidate, k), best.confidence, best.sentence()}}, cg.Alternatives...)
			cg.Reason, cg.Confidence = "no meaning is likely enough; the alternatives list what it may be.", best.confidence
		default:
			cg.Meaning, cg.Confidence, cg.Reason = g.meaning(it, best.candidate, k), best.confidence, best.sentence()
			cg.Usual = g.know.measurements[cg.Meaning.Measurement].Instrument
			if cg.Meaning.IsMass() {
				cg.Usual = g.know.measurements["bodyMass"].Instrument
			}
		}
		out = append(out, cg)
	}
	return out
}

func (g *guesser) nothingKnown(it *item, column int, others []Alternative) string {
	switch {
	case len(it.withdrawn) > 0:
		return it.withdrawn[0].why + "."
	case it.derived:
		return "the heading is about something computed from measurements, or about their quality."
	case it.later:
		return "the heading is about something other than the capture."
	case it.restates != "":
		return fmt.Sprintf("its numbers are those of %q in another unit, and no second reading.", it.restates)
	case it.series:
		return "columns of the same name are for several animals, times or places, or parts of one reading, not replicates; nothing says which is which."
	case g.counted(it):
		return "the heading is the name of an animal over whole numbers: a count, which a table with one row per animal would give as individualCount."
	case len(others) > 0 && others[0].Confidence > 0.3 && !g.beside(it, func(o *item) bool { return meaningKey(o.chosen.meaning) == meaningKey(others[0].Meaning) }):
		return "no meaning is likely enough; the alternatives list what it may be."
	case len(others) > 0 && others[0].Confidence > 0.3:
		return "another column is more likely to have this meaning; the alternatives name it."
	case g.profiles[column].filled == 0:
		return "the column is empty and its heading is not known."
	case g.profiles[column].numeric < 0.5 && it.may(func(c *candidate) bool { return isMeasured(c) && c.weight >= generalHeading }):
		return "the heading means something measured, but most of the values are no plain numbers."
	}
	return "the heading is not known, and the values suggest no meaning."
}

// counted reports whether a column counts the animals that its heading names.
func (g *guesser) counted(it *item) bool {
	p := g.profiles[it.columns[0]]
	return p.numeric > 0.9 && p.whole == 1 && (g.know.latin(it.heading) || g.know.hasKindOfAnimal(it.heading))
}

// meaning completes the meaning of the k-th column of an item.
func (g *guesser) meaning(it *item, c *candidate, k int) record.Meaning {
	m := c.meaning
	p := g.profiles[it.columns[k]]
	if m.Role == record.Measurement && it.replicates != nil {
		m.Replicate = it.replicates[k]
		if code := g.unitWritten(it.columns[k]); sameKind(code, m.Unit) {
			m.Unit = code
		}
	}
	if m.Unit != "" && p.decimal == ',' {
		m.Decimal = ","
	}
	if g.know.values[m.Term].Kind == kindDate {
		m.DateOrder = dateOrder(g.table.Columns[it.columns[k]].Heading)
	}
	if kind := g.know.values[m.Term].Kind; kind == kindLatitude || kind == kindLongitude { // metres need no letter
		m.Compass = compassOf(g.table.Columns[it.columns[k]].Heading, m.Term)
	}
	if m.Role == record.Measurement || m.Role == record.WeighPart && m.Unit != "" {
		m.Instrument = g.tool(m.Unit)
		m.Guessed = it.unit == "" && !quantity.Implied(m.Unit)
	}
	return m
}

// tool names the survey's only instrument for the kind of unit, or none.
func (g *guesser) tool(unit string) string {
	found := ""
	for _, t := range g.clues.Tools {
		if quantity.Dimension(t.Unit) != quantity.Dimension(unit) {
			continue
		}
		if found != "" {
			return ""
		}
		found = t.Name
	}
	return found
}

// dateOrder reads an order of day, month and year out of a heading.
func dateOrder(heading string) string {
	f := vocabulary.Fold(heading)
	for _, o := range []struct{ written, order string }{
		{"ddmmyy", "dmy"}, {"dmy", "dmy"}, {"daymonthyear", "dmy"}, {"ttmmjj", "dmy"}, {"ddmmaa", "dmy"}, {"jjmmaa", "dmy"},
		{"mmddyy", "mdy"}, {"mdy", "mdy"}, {"monthdayyear", "mdy"}, {"yyyymmdd", "ymd"}, {"yymmdd", "ymd"}, {"ymd", "ymd"},
	} {
		if strings.Contains(f, o.written) {
			return o.order
		}
	}
	return ""
}

type rankedCandidate struct {
	*candidate
	confidence float64
}

// sentence joins the reasons of a candidate.
func (c rankedCandidate) sentence() string {
	return strings.Join(c.reasons, "; ") + "."
}

// ranked returns the candidates of an item by confidence. What another item was
// given is no longer a rival.
func (g *guesser) ranked(it *item) []rankedCandidate {
	taken := map[string]bool{}
	for _, o := range g.items {
		if o != it && o.chosen != nil && !o.chosen.shared {
			taken[meaningKey(o.chosen.meaning)] = true
		}
	}
	var list []rankedCandidate
	sum := 1.0 // the odds that it is none of them
	for _, c := range it.candidates {
		odds := math.Exp(min(c.score, 12))
		if c != it.chosen && (c.fallback || it.chosen != nil && it.chosen.fallback) {
			odds /= 20 // no rival: it says nearly the same
		}
		if taken[meaningKey(c.meaning)] && c != it.chosen {
			odds /= 20
		}
		list = append(list, rankedCandidate{c, odds})
		sum += odds
	}
	for i := range list {
		list[i].confidence = math.Round(1000*list[i].confidence/sum) / 1000
	}
	sorting.StableFunc(list, func(a, b rankedCandidate) int { return cmp.Compare(b.confidence, a.confidence) })
	return list
}
