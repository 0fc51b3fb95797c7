package darwincore

import (
	"bytes"
	"cmp"
	"math"
	"strconv"
	"unicode/utf8"

	"spadefoot/pipeline/record"
)

// stateRemarks say what the number alone does not.
var stateRemarks = [...]string{
	record.Doubtful: "the writer doubted this value",
	record.Below:    "less than the number given",
	record.Above:    "more than the number given",
	record.Interval: "a range was written, not one number",
}

// appendRemarks says what the number alone does not, and what was written
// where it differs from what is published.
func (f *form) appendRemarks(b []byte, r *record.Reading, value []byte) []byte {
	from := len(b)
	if int(r.State) < len(stateRemarks) {
		b = append(b, stateRemarks[r.State]...)
	}
	if s := trimmed(r.Remark()); s != "" {
		b = append(between(b, from), s...)
	}
	if r.Guessed {
		b = append(append(between(b, from), "no unit was written, guessed: "...), cmp.Or(r.WrittenUnit, r.Unit)...)
	}
	if r.Resolution > 0 && r.Unit != "1" && (r.Accuracy == 0 || r.Measurement != bodyMass && r.Measurement != grossMass && r.Measurement != bagMass) && r.Resolution != lastDigit(value) {
		b = append(between(b, from), f.step(r)...)
	}
	written := trimmed(r.Verbatim)
	if written == "" || written == string(value) || r.Derived {
		return b
	}
	b = appendGoQuoted(append(between(b, from), "as written: "...), written)
	if r.WrittenUnit != "" && r.WrittenUnit != r.Unit {
		b = append(append(b, " in "...), r.WrittenUnit...)
	}
	if r.From().File != "" {
		b = append(r.From().AppendTo(append(b, " ("...)), ')')
	}
	return b
}

// lastDigit is the step that the last digit of a published text stands for:
// 0.1 for "57.5", 1 for "40-42".
func lastDigit(value []byte) float64 {
	if point := bytes.LastIndexByte(value, '.'); point >= 0 {
		return math.Pow10(point + 1 - len(value))
	}
	return 1
}

// between separates what follows from what is there.
func between(b []byte, from int) []byte {
	if len(b) > from {
		b = append(b, "; "...)
	}
	return b
}

// appendGoQuoted appends a text in quotes as strconv.Quote does, most of them
// without a look at every rune.
func appendGoQuoted(b []byte, s string) []byte {
	for i := range len(s) {
		if c := s[i]; c < ' ' || c == '"' || c == '\\' || c >= utf8.RuneSelf-1 {
			return strconv.AppendQuote(b, s)
		}
	}
	return append(append(append(b, '"'), s...), '"')
}
