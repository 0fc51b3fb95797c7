package calendar

import (
	"strings"
	"unicode"
)

// Yearless reports whether a text is a day and the name of a month without a
// year: "June 4", "3.VI.".
func Yearless(text string) bool {
	if len(text) > longestYearless || strings.IndexFunc(text, unicode.IsLetter) < 0 || strings.IndexFunc(text, unicode.IsDigit) < 0 {
		return false
	}
	return Parse(text, Options{}).ISO == "" && Parse(text, Options{DefaultYear: leapYear}).singleDay()
}

const (
	longestYearless = 30   // bytes
	leapYear        = 2000 // has every day
)
