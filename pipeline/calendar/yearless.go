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

// DayMonth reports whether a text is two numbers that can be a day and a month, the
// one or the other first: "4/6", "04-06". Where nothing says that it is a date, it may
// be a fraction or two counts.
func DayMonth(text string) bool {
	if len(text) > longestYearless || strings.IndexFunc(text, unicode.IsLetter) >= 0 {
		return false
	}
	for _, order := range []Order{DMY, MDY} {
		if d := Parse(text, Options{DefaultYear: leapYear, Order: order}); d.singleDay() && d.Remark == "" {
			return Parse(text, Options{Order: order}).ISO == ""
		}
	}
	return false
}

const (
	longestYearless = 30   // bytes
	leapYear        = 2000 // has every day
)
