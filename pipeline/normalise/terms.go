package normalise

import (
	"cmp"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// group says which room reads a term.
type group uint8

const (
	plainTerm group = iota
	wordTerm
	numberTerm
	datePartTerm
	dateTerm
	timeTerm
	nameTerm
	placeTerm
	elevationTerm
)

func groupOf(term string, x *Context) group {
	switch {
	case isDate(term):
		return dateTerm
	case isDatePart(term):
		return datePartTerm
	case isElevation(term):
		return elevationTerm
	case isNumber(term):
		return numberTerm
	case x.Words[term] != nil:
		return wordTerm
	}
	switch term {
	case "eventTime":
		return timeTerm
	case "scientificName":
		return nameTerm
	case "decimalLatitude", "decimalLongitude", "verbatimCoordinates", "verbatimLatitude", "verbatimLongitude",
		"locality", "locationID", "geodeticDatum", "verbatimSRS":
		return placeTerm
	}
	return plainTerm
}

// terms reads the columns that stand for themselves. A blank cell leaves the
// default in place.
func (r *row) terms() {
	for _, i := range r.plan.plain {
		c, col := &r.cells[i], r.plan.columns[i]
		if c.Empty() {
			continue
		}
		switch col.group {
		case plainTerm:
			r.plain(i, col, c)
		case wordTerm:
			if v := r.value(col.slot); !r.filled(v) || r.saidBeside(col, v) || r.plan.joins[col.slot] {
				r.word(col, c)
			}
		case datePartTerm:
			if !r.filled(r.value(col.slot)) {
				r.datePart(i, col, c)
			}
		case numberTerm:
			if !r.filled(r.value(col.slot)) {
				r.numeral(i, col, c)
			}
		case elevationTerm:
			if !r.filled(r.value(col.slot)) {
				r.elevation(i, &col.Meaning, c)
			}
		}
	}
}

// neverNothing are terms whose values are no words for nothing: "none" under Tag is no
// mark that several animals share, and no country is called "unknown".
var neverNothing = map[string]bool{"organismID": true, "otherCatalogNumbers": true, "recordNumber": true, "catalogNumber": true, "materialSampleID": true,
	"country": true, "stateProvince": true, "county": true}

// marked reports whether a text is a mark that stands for nothing in any column: "n/a",
// -999. Keep sees to what is more than a mark.
func marked(text string) bool { return quantity.Mark(text) || quantity.Sentinel(text) }

// plain takes the text as it is, white space at its ends apart.
func (r *row) plain(i int, col *column, c *record.Cell) {
	text := ""
	if own, ok := r.ownWord(i, c); ok {
		text = own
	} else if marked(c.Text) || neverNothing[col.Meaning.Term] && quantity.Missing(c.Text) {
		return
	} else {
		text = squeezed(c.Text)
		if col.people {
			text = people(text)
		}
	}
	r.share(col.slot, text, c)
}

// share returns a term the text of a cell. Where a column before it has filled
// the term, the text goes behind that one, with the mark between them that
// Darwin Core recommends for lists, if the term is for lists or free text. If it
// is not, the first one stays, and keep sees to the other.
func (r *row) share(s slot, text string, c *record.Cell) {
	old := r.value(s)
	switch {
	case old == nil || !r.filled(old):
		r.put(s, text, c.Verbatim(), r.at(c))
	case r.plan.joins[s]:
		r.put(s, joined(old.Text, text), joined(old.Verbatim, c.Verbatim()), old.From())
	}
}

// filled reports whether a cell has said what the value says; another one does
// not take its place.
func (r *row) filled(v *record.Value) bool { return v != nil && (v.Verbatim != "" || v.Row > 0) }

const betweenTexts = " | "

func joined(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + betweenTexts + b
}

// squeezed takes white space off the ends of a text and makes one blank of each
// run of it.
func squeezed(text string) string {
	blank := true // so that one at the beginning counts
	for i := 0; i < len(text); i++ {
		b := text[i]
		if b >= utf8.RuneSelf || b < ' ' || b == ' ' && blank {
			return strings.Join(strings.Fields(text), " ")
		}
		blank = b == ' '
	}
	if blank && text != "" {
		return text[:len(text)-1]
	}
	return text
}

// word takes a value of a controlled vocabulary.
func (r *row) word(col *column, c *record.Cell) {
	w := r.wordOf(col, c.Text)
	if w.several != nil {
		r.fillBeside(col, w.several, c)
		return
	}
	if w.problem != nil {
		r.problem(*w.problem, c, col.Meaning.Term)
	}
	text, verbatim := "", c.Verbatim()
	if w.ok {
		text = w.word.value
	}
	if text == "" && quantity.Mark(verbatim) {
		verbatim = "" // nothing was said, and is said to be
	}
	from := r.at(c)
	if old := r.value(col.slot); r.plan.joins[col.slot] && old != nil && r.filled(old) && !r.saidBeside(col, old) {
		from = old.From()
		if text == old.Text {
			text = ""
		}
		text, verbatim = joined(old.Text, text), joined(old.Verbatim, verbatim)
	}
	r.put(col.slot, text, verbatim, from).Word = w.word.number
}

func (r *row) wordOf(col *column, text string) *foundWord {
	if w := col.found.find(text); w != nil {
		return w
	}
	text = strings.Clone(text)
	w := &foundWord{several: r.plan.several(col, text)}
	if w.several == nil {
		w.word.value, w.ok, w.problem = col.words.Find(text, col.Meaning.Vocabulary)
		if w.problem != nil && w.problem.Rule == vocabulary.RuleUnknown && marked(text) {
			w.ok, w.problem = true, nil
		}
	}
	w.word = r.x.word(said{col.slot, w.word.value})
	return col.found.keep(text, w)
}

// numeral takes a term whose value is a number without a unit, or in metres.
func (r *row) numeral(i int, col *column, c *record.Cell) {
	m := &col.Meaning
	unit, want := m.Unit, m.Unit
	if strings.HasSuffix(m.Term, "InMeters") {
		unit, want = cmp.Or(unit, "m"), "m"
	}
	q := quantity.Parse(c.Text, quantity.Options{Decimal: r.columns.mark(i, c), Unit: unit, ZeroMissing: m.ZeroMissing})
	r.problems(q.Problems, c, m.Term)
	published := ""
	if q.Usable() {
		if number, _, text, err := q.In(want); err == nil {
			published = text
			if isWhole(m.Term) {
				published = whole(number)
			}
		}
		if published == "" {
			r.problem(record.Problem{Rule: "number-unread", Level: record.Error, Reason: "the term takes only whole numbers"}, c, m.Term)
		}
	}
	verbatim := c.Verbatim()
	if q.State == record.Missing && quantity.Mark(verbatim) {
		verbatim = ""
	}
	r.put(col.slot, published, verbatim, r.at(c))
}

// isWhole lists the terms of isNumber that hold whole numbers only.
func isWhole(term string) bool {
	switch term {
	case "individualCount", "year", "month", "day", "startDayOfYear":
		return true
	}
	return false
}

// whole writes a whole number, or "" for another.
func whole(x float64) string {
	if x != math.Trunc(x) || math.Abs(x) > 1e9 {
		return ""
	}
	return strconv.FormatFloat(x, 'f', 0, 64)
}

// mark returns the decimal mark of a cell: a number that a workbook stored
// always has a point.
func (cs *columns) mark(i int, c *record.Cell) byte {
	if c.Kind == record.Number {
		return '.'
	}
	return cs.decimal[i]
}

// cellOf returns the first cell of the row that is mapped to a term and holds
// something, or an empty cell.
func (r *row) cellOf(s slot) (int, *record.Cell, bool) {
	for _, i := range r.plan.by[s] {
		if c := &r.cells[i]; !c.Empty() {
			return i, c, true
		}
	}
	return 0, &nothing, false
}

// nothing stands for a cell that is not there. Nobody writes to it.
var nothing record.Cell
