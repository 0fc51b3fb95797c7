package quantity

import (
	"fmt"
	"math"
	"strings"

	"spadefoot/pipeline/record"
)

// Parse reads one cell. It never fails: what is not understood comes back
// Unread with a problem that says why and, where one is likely, what it was.
func Parse(text string, o Options) Quantity {
	s := clean(text)
	if q, done := whole(s, text); done {
		return q
	}
	p := parser{o: o, all: s, s: s}
	q := p.statement()
	return finish(q, s, o)
}

// longestCell bounds what is looked at as a number with remarks, in bytes.
const longestCell = 4000

// whole settles cells that are not to be taken apart: missing values, faults
// of spreadsheets, numbers that became dates or lost digits.
func whole(s, text string) (Quantity, bool) {
	if plainNumeral(s) {
		return Quantity{}, false
	}
	q := Quantity{State: record.Missing}
	switch kind, remark := missingKind(s); kind {
	case "":
	case "doubt":
		q.problem(ruleQuestion, "a question mark instead of a number", "")
		return q, true
	default:
		q.Remark = remark
		return q, true
	}
	if len(s) > longestCell {
		q.unread(ruleUnread, fmt.Sprintf("a text of %d characters is not a number", len(s)), "")
		return q, true
	}
	if isFault(s) {
		q.unread(ruleFault, "the cell holds the spreadsheet error "+s, "")
		return q, true
	}
	if LostDigits(s) && longExponent(s) {
		q.unread(ruleDigits, s+" has lost the last digits of a longer number", "")
		return q, true
	}
	if typed := becameDate(s); len(typed) > 0 {
		reason, suggestion := record.Either(s+" is a date instead of a number", typed...)
		q.unread(ruleDate, reason, suggestion)
		return q, true
	}
	return q, false
}

// plainNumeral reports whether s is digits with at most one point: the usual
// cell, for which nothing else need be looked up.
func plainNumeral(s string) bool {
	points := 0
	for i := 0; i < len(s); i++ {
		if s[i] == '.' {
			points++
		} else if !isDigit(rune(s[i])) {
			return false
		}
	}
	return s != "" && points <= 1 && s != "."
}

// longExponent reports whether a numeral is beyond what a spreadsheet shows in
// full (11 digits), so that it was a number typed long and not 1.5E+03.
func longExponent(s string) bool {
	_, exp, _ := strings.Cut(strings.ToUpper(s), "E+")
	return exp >= "10" && len(exp) >= 2
}

// finish applies what the column says and looks the result over.
func finish(q Quantity, s string, o Options) Quantity {
	for p := &q; p != nil; p = p.Second {
		if p.State == record.Unread || max(math.Abs(p.Number), math.Abs(p.Low), math.Abs(p.High)) >= maxValue {
			q.State = record.Unread
		}
	}
	if q.State == record.Unread {
		if missing().cutShort(s) {
			return Quantity{State: record.Missing, Remark: s}
		}
		if figures, is := spelled(s); is {
			q = Quantity{}
			q.unread(ruleUnread, fmt.Sprintf("%q seems to be a number in words", s), figures)
			return q
		}
		if missing().tells(s) {
			q = Quantity{State: record.Missing, Remark: s}
			q.problem(ruleNote, "words in place of a number", "")
			return q
		}
		if len(q.Problems) == 0 {
			q.problem(ruleUnread, fmt.Sprintf("%q cannot be read as a number", s), "")
		}
		return q
	}
	if q.State == record.Measured && !q.UnitWritten && q.Second == nil {
		switch {
		case missing().sentinels[q.Number]:
			return missingNumber(q, ruleSentinel, s+" means not measured")
		case q.Number == 0 && o.ZeroMissing:
			return missingNumber(q, ruleZero, "zero means not measured in this column")
		}
	}
	for p := &q; p != nil; p = p.Second {
		if p.Unit == "" {
			p.Unit = o.Unit
		}
	}
	q.judge(s, o)
	return q
}

func missingNumber(q Quantity, rule, reason string) Quantity {
	m := Quantity{State: record.Missing, Remark: q.Remark, Problems: q.Problems}
	m.problem(rule, reason, "")
	return m
}

// judge adds the problems that need the whole cell.
func (q *Quantity) judge(s string, o Options) {
	if q.Second != nil {
		q.problem(ruleTwo, fmt.Sprintf("%q holds more than one measurement", s), "")
	}
	if o.Want != "" && q.Unit != "" {
		if d := Dimension(q.Unit); d != o.Want {
			q.unread(ruleDimension, fmt.Sprintf("%s is a unit of %s, not of %s",
				Display(q.Unit), dimensionName(d), dimensionName(o.Want)), elForOne(s))
			return
		}
	}
	if q.Unit == "" && o.Want != "" && o.Want != "1" {
		q.problem(ruleNoUnit, "no unit is written, and none is known for the column", "")
	}
	switch usable := q.State == record.Measured || q.State == record.Doubtful; {
	case usable && o.NotNegative && q.Number < 0:
		q.problem(ruleNegative, fmt.Sprintf("%q is negative, which this measurement cannot be", s), strings.TrimLeft(s, "-−–"))
	case usable && o.NotZero && q.Number == 0:
		q.problem(ruleNought, fmt.Sprintf("%q is one of few zeros in a column of larger values", s), "")
	}
	if q.doubted {
		q.problem(ruleDoubted, fmt.Sprintf("%q is marked as doubtful or approximate", s), "")
	}
	if q.Remark != "" {
		q.problem(ruleNote, fmt.Sprintf("%q was moved to the remarks", q.Remark), "")
	}
}

// elForOne suggests a one for the l of "12l" where litres make no sense.
func elForOne(s string) string {
	if n := len(s) - 1; n > 0 && s[n] == 'l' && isDigit(rune(s[n-1])) {
		return s[:n] + "1"
	}
	return ""
}

func dimensionName(d string) string {
	switch d {
	case "1":
		return "a ratio"
	case "":
		return "an unknown kind"
	}
	return d
}
