// Package calendar reads dates and times as people write them and returns them
// in ISO 8601 with the precision that was written: "3 Jun 2021" is 2021-06-03,
// "June 1987" is 1987-06, "30 Jun - 2 Jul 2021" is 2021-06-30/2021-07-02.
//
// It reads ISO forms, numbers with any separator, month names in English,
// Spanish, Portuguese, French and German, Roman numerals for months, two-digit
// years, day-of-year, spreadsheet day numbers, seasons, decades and ranges.
//
// Evidence decides from the whole column whether 03/06/2021 is in June or in
// March. If the column does not settle it, only the certain part is published,
// the year, with the problem date-order-ambiguous. Text that cannot be read
// gives no date and a problem; a likely date is only ever suggested.
//
// ParseTime reads times of day. A time is assigned to its day, or to the next
// day if a night ran past midnight.
//
// The package reads no clock: the last possible day, the survey's years, the
// hemisphere and the time zone are all in Options.
package calendar
