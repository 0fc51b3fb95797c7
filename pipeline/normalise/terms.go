package normalise

import (
	"strings"

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
	for i, c := range r.cells {
		m := r.table.Columns[i].Meaning
		if m.Role != record.Term || c.Empty() {
			continue
		}
		switch groupOf(m.Term, r.x) {
		case plainTerm:
			r.plain(m, c)
		case wordTerm:
			r.word(m, c)
		case numberTerm:
			r.number(i, m, c)
		case elevationTerm:
			r.elevation(m, c)
		}
	}
}

// plain takes the text as it is, white space at its ends apart. Several
// columns may fill one term; their texts are joined as Darwin Core recommends.
func (r *row) plain(m record.Meaning, c record.Cell) {
	text := strings.Join(strings.Fields(c.Text), " ")
	if own, ok := m.Vocabulary[strings.TrimSpace(c.Text)]; ok {
		text = own
	} else if quantity.Missing(c.Text) {
		return
	}
	v := record.Value{Term: m.Term, Text: text, Verbatim: c.Verbatim(), From: r.at(c)}
	if old := r.capture.Value(m.Term); old != nil && (old.Verbatim != "" || old.From.Row > 0) {
		v.Text, v.Verbatim, v.From = old.Text+" | "+text, old.Verbatim+" | "+c.Verbatim(), old.From
	}
	r.capture.Set(v)
}

// word takes a value of a controlled vocabulary.
func (r *row) word(m record.Meaning, c record.Cell) {
	value, ok, problem := r.x.Words[m.Term].Find(c.Text, m.Vocabulary)
	if problem != nil {
		r.problem(*problem, c, m.Term)
	}
	v := record.Value{Term: m.Term, Verbatim: c.Verbatim(), From: r.at(c)}
	if ok {
		v.Text = value
	}
	r.capture.Set(v)
}

// number takes a term whose value is a number without a unit, or in metres.
func (r *row) number(i int, m record.Meaning, c record.Cell) {
	unit := m.Unit
	if unit == "" && strings.HasSuffix(m.Term, "InMeters") {
		unit = "m"
	}
	q := quantity.Parse(c.Text, quantity.Options{Decimal: r.decimal(i, c), Unit: unit, ZeroMissing: m.ZeroMissing})
	r.problems(q.Problems, c, m.Term)
	v := record.Value{Term: m.Term, Verbatim: c.Verbatim(), From: r.at(c)}
	if q.Usable() {
		if _, _, text, err := q.In(unit); err == nil {
			v.Text = text
		}
	}
	r.capture.Set(v)
}

// decimal gives the decimal mark of a cell: a number that a workbook stored
// always has a point.
func (r *row) decimal(i int, c record.Cell) byte {
	if c.Kind == record.Number {
		return '.'
	}
	return r.columns.decimal[i]
}

// cellOf gives the first cell of the row that is mapped to a term.
func (r *row) cellOf(term string) (int, record.Cell, bool) {
	for i, c := range r.cells {
		m := r.table.Columns[i].Meaning
		if m.Role == record.Term && m.Term == term && !c.Empty() {
			return i, c, true
		}
	}
	return 0, record.Cell{}, false
}
