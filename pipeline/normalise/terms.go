package normalise

import (
	"strings"
	"unicode/utf8"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// group says which room reads a term.
type group uint8

const (
	plainTerm group = iota
	wordTerm
	numberTerm
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
			r.word(col, c)
		case numberTerm:
			r.numeral(i, col, c)
		case elevationTerm:
			r.elevation(&col.Meaning, c)
		}
	}
}

// plain takes the text as it is, white space at its ends apart. Several
// columns may fill one term; their texts are joined as Darwin Core recommends.
func (r *row) plain(i int, col *column, c *record.Cell) {
	text, verbatim, from := "", c.Verbatim(), r.at(c)
	if own, ok := r.ownWord(i, c); ok {
		text = own
	} else if quantity.Missing(c.Text) {
		return
	} else {
		text = squeezed(c.Text)
	}
	if old := r.value(col.slot); old != nil && (old.Verbatim != "" || old.From.Row > 0) {
		text, verbatim, from = old.Text+" | "+text, old.Verbatim+" | "+verbatim, old.From
	}
	r.put(col.slot, text, verbatim, from)
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
	if w.problem != nil {
		r.problem(*w.problem, c, col.Meaning.Term)
	}
	text := ""
	if w.ok {
		text = w.value
	}
	r.put(col.slot, text, c.Verbatim(), r.at(c))
}

func (r *row) wordOf(col *column, text string) *foundWord {
	if w := col.found.find(text); w != nil {
		return w
	}
	text = strings.Clone(text)
	value, ok, problem := col.words.Find(text, col.Meaning.Vocabulary)
	return col.found.keep(text, &foundWord{value, ok, problem})
}

// numeral takes a term whose value is a number without a unit, or in metres.
func (r *row) numeral(i int, col *column, c *record.Cell) {
	m := &col.Meaning
	unit := m.Unit
	if unit == "" && strings.HasSuffix(m.Term, "InMeters") {
		unit = "m"
	}
	q := quantity.Parse(c.Text, quantity.Options{Decimal: r.decimal(i, c), Unit: unit, ZeroMissing: m.ZeroMissing})
	r.problems(q.Problems, c, m.Term)
	published := ""
	if q.Usable() {
		if _, _, text, err := q.In(unit); err == nil {
			published = text
		}
	}
	r.put(col.slot, published, c.Verbatim(), r.at(c))
}

// decimal gives the decimal mark of a cell: a number that a workbook stored
// always has a point.
func (r *row) decimal(i int, c *record.Cell) byte {
	if c.Kind == record.Number {
		return '.'
	}
	return r.columns.decimal[i]
}

// cellOf gives the first cell of the row that is mapped to a term and holds
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
