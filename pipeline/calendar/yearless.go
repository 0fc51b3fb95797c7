package calendar

import (
	"strings"
	"unicode"
)

// Yearless reports whether a text is a day and a month without a year: "June 4",
// "3.VI.", "13.3.", but not "4/6", which may be a fraction, nor "14.2 g".
func Yearless(text string) bool {
	if len(text) > longestYearless || strings.IndexFunc(text, unicode.IsLetter) < 0 && strings.Count(text, ".") != 2 || strings.IndexFunc(text, unicode.IsDigit) < 0 {
		return false
	}
	d := Parse(text, Options{DefaultYear: leapYear})
	return d.singleDay() && d.Remark == "" && Parse(text, Options{}).ISO == ""
}

const (
	longestYearless = 30   // bytes
	leapYear        = 2000 // has every day
)
