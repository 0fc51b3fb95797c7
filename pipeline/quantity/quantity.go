package quantity

import (
	"strconv"

	"spadefoot/pipeline/record"
)

// Options say what is known of a column before a cell is read.
type Options struct {
	Decimal     byte    // '.' or ',', 0 if unknown
	Unit        string  // UCUM code of cells without a unit of their own, "" if unknown
	Heading     string  // of the column; where it stands before a number ("bag 4.5") it says nothing more
	Part        float64 // finest part that the column is written in (see Evidence), 0 if unknown
	Letters     string  // small letters that are marks of the team's own behind numbers (see Evidence)
	ZeroMissing bool    // a zero means "not taken"
	NotNegative bool    // what is measured is never below zero
	NotZero     bool    // nor zero, as far as the column shows
	Want        string  // dimension expected: "length", "mass", …; "" for any
}

// Quantity is one cell as read. Number, Low, High, Half and Step are in Unit.
//
// Number holds the value for Measured and Doubtful, the bound for Below and
// Above, and the middle for Interval. Low and High are set for Interval and
// for a ± (Number ∓ Half).
type Quantity struct {
	State       record.State
	Number      float64
	Low, High   float64
	Half        float64 // half width after ±, 0 if none
	Decimals    int     // digits after the point; negative where tens or hundreds were written
	Step        float64 // size of the last place written: 0.1 for 12.5, 1/16 for 3 5/16
	Unit        string  // UCUM code, "" if unknown
	UnitWritten bool    // the unit was in the cell
	Remark      string  // what was beside the number
	Second      *Quantity
	Problems    []record.Problem

	unrounded bool // Number has more digits than Decimals shows: a fraction, or a number that was converted
	converted bool // from a unit that differs by no power of ten
	doubted   bool // marked as doubtful or approximate; a bound or range stays one
}

// Usable reports whether Number is a value that was measured.
func (q Quantity) Usable() bool {
	return q.State == record.Measured || q.State == record.Doubtful
}

// hasNumber reports whether Number, or Low and High, mean anything.
func (q Quantity) hasNumber() bool {
	return q.State != record.Missing && q.State != record.Unread
}

// doubt marks the quantity as doubtful. Only a plain number becomes Doubtful: a
// bound or a range stays what it is, and the problem alone tells of the doubt.
func (q *Quantity) doubt() {
	q.doubted = true
	if q.State == record.Measured {
		q.State = record.Doubtful
	}
}

// problem adds a problem with the rule's usual level.
func (q *Quantity) problem(rule, reason, suggestion string) {
	q.Problems = append(q.Problems, record.Problem{
		Rule: rule, Level: levels[rule], Reason: reason, Suggestion: suggestion,
	})
}

// unread takes the statement back: something was written that is not taken.
func (q *Quantity) unread(rule, reason, suggestion string) {
	q.State = record.Unread
	q.problem(rule, reason, suggestion)
}

// String writes the quantity so that Parse reads the same again: "57.5 mm",
// "<0.5 g", "40-42 mm", "12.4 ± 0.2 g", "57.5? mm"; "" for Missing and Unread.
func (q Quantity) String() string {
	if !q.hasNumber() {
		return ""
	}
	s := q.text()
	switch q.State {
	case record.Below:
		s = "<" + s
	case record.Above:
		s = ">" + s
	}
	if q.Half > 0 {
		s += " ± " + strconv.FormatFloat(q.Half, 'f', -1, 64)
	}
	if q.State == record.Doubtful {
		s += "?"
	}
	if d := Display(q.Unit); d != "" {
		s += " " + d
	}
	return s
}

// text is the number with the digits that were written, Low-High for an
// interval.
func (q Quantity) text() string {
	digits := format
	switch {
	case q.converted:
		digits = significant
	case q.unrounded:
		digits = rounded
	}
	if q.State == record.Interval {
		return digits(q.Low, q.Decimals) + "-" + digits(q.High, q.Decimals)
	}
	return digits(q.Number, q.Decimals)
}

// format writes v with d digits after the point; a negative d writes whole
// numbers. Minus zero is written as zero.
func format(v float64, d int) string {
	return unsigned(strconv.FormatFloat(v, 'f', max(d, 0), 64))
}

// unsigned takes the sign off a zero.
func unsigned(s string) string {
	if s[0] == '-' && isZero(s[1:]) {
		return s[1:]
	}
	return s
}

func isZero(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] != '0' && s[i] != '.' {
			return false
		}
	}
	return true
}

// tidy takes the binary tail off a sum of decimal numbers with d digits after
// the point.
func tidy(v float64, d int) float64 {
	t, err := strconv.ParseFloat(strconv.FormatFloat(v, 'f', max(d, 0), 64), 64)
	if err != nil {
		return v
	}
	return t
}
