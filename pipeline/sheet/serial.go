package sheet

import (
	"fmt"
	"math"
	"time"
)

const (
	daySeconds  = 86400
	lastSerial  = 2958465 // 31 December 9999 in the 1900 system
	leapSerial  = 60      // 29 February 1900, a day that never was
	days1904    = 1462    // between the two systems
	millisADay  = daySeconds * 1000
	tooManyDays = 10000 // of an elapsed time
)

// serialText writes the serial number of a date as ISO 8601, with the parts
// that its format shows and any that it hides but holds. ok is false for a
// number that is not a date, which stays a number.
//
// Serials count days from 1 January 1900, or from 1 January 1904 in workbooks
// of the Macintosh. The 1900 system has a 29 February 1900 for the sake of an
// older program: serial 60 (ECMA-376 Part 1, 18.17.4.1).
func serialText(serial float64, parts dateParts, date1904 bool) (text string, ok bool) {
	if serial < 0 || math.IsNaN(serial) {
		return "", false
	}
	whole := math.Floor(serial)
	millis := int64(math.Round((serial - whole) * millisADay))
	if millis == millisADay {
		whole, millis = whole+1, 0
	}
	if parts.elapsed && !parts.hasDate() {
		if whole > tooManyDays {
			return "", false
		}
		return clockText(int64(whole)*millisADay+millis, parts), true
	}
	if whole == 0 && !parts.hasDate() {
		return clockText(millis, parts), true
	}
	day := int(whole)
	if date1904 {
		day += days1904
	}
	if whole > lastSerial || day > lastSerial {
		return "", false
	}
	return dateText(dayText(day), millis, parts), true
}

// dayText returns the date of a serial of the 1900 system as the workbook shows
// it: serial 0 is a day 0, serial 60 the 29 February that never was.
func dayText(day int) string {
	switch {
	case day == 0:
		return "1900-01-00"
	case day == leapSerial:
		return "1900-02-29"
	case day < leapSerial:
		day++
	}
	return time.Date(1899, 12, 30+day, 0, 0, 0, 0, time.UTC).Format(time.DateOnly)
}

// dateText joins date and time. A month shown without its day is a month where
// the stored day is the first, which the program put there. A time that is
// neither shown nor stored is left out.
func dateText(day string, millis int64, parts dateParts) string {
	switch {
	case millis != 0 || parts.hasTime():
		return day + "T" + clockText(millis, parts)
	case parts.year && parts.month && !parts.day && day[8:] == "01":
		return day[:7]
	}
	return day
}

// clockText writes hours, minutes and, where they are shown or not zero,
// seconds. Hours go on beyond 24.
func clockText(millis int64, parts dateParts) string {
	s := millis / 1000
	text := fmt.Sprintf("%02d:%02d", s/3600, s/60%60)
	if s%60 != 0 || millis%1000 != 0 || parts.second {
		text += fmt.Sprintf(":%02d", s%60)
	}
	if millis%1000 != 0 {
		text += fmt.Sprintf(".%03d", millis%1000)
	}
	return text
}
