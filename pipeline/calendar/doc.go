// Package calendar reads dates and times as people write them and returns them
// in ISO 8601 with the precision that was written: "3 Jun 2021" is 2021-06-03,
// "June 1987" is 1987-06, "30 Jun - 2 Jul 2021" is 2021-06-30/2021-07-02.
//
// It reads ISO forms, numbers with any separator, names of months in English,
// Spanish, Portuguese, French and German, Roman numerals for months, two-digit
// years, day-of-year, spreadsheet day numbers, seasons, decades and ranges.
//
// Whether 03/06/2021 is in June or in March is decided by Evidence from the
// whole column. Where the column does not decide, only what is certain is
// published, the year, with the problem date-order-ambiguous. What cannot be
// read returns no date and a problem; a likely date is only ever suggested.
//
// ParseTime reads times of day; a time is put on its day, or on the day after
// for a night that goes past midnight.
//
// The package has no clock: the last possible day, the survey's years, the
// hemisphere and the time zone all come in Options.
package calendar
