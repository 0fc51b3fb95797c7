package calendar

import "spadefoot/pipeline/record"

// The rules that this package raises; schemas/rules/calendar.csv describes
// them.
const (
	ruleUnread     = "date-unread"
	ruleImpossible = "date-impossible"
	ruleOrder      = "date-order-ambiguous"
	ruleOrderOther = "date-order-other"
	ruleNoYear     = "date-year-missing"
	ruleYearTaken  = "date-year-supplied"
	ruleTwoDigits  = "date-two-digit-year"
	ruleOutside    = "date-outside-survey"
	ruleLate       = "date-after-latest"
	ruleSerial     = "date-from-serial"
	ruleSeason     = "date-season"
	ruleVague      = "date-part-of-period"
	ruleDoubtful   = "date-doubtful"
	ruleWeekday    = "date-weekday-differs"
	ruleReversed   = "date-range-reversed"
	ruleTime       = "time-unread"
	ruleTimeLoose  = "time-without-day"
	ruleTimeShift  = "time-beside-clock-change"
	ruleNight      = "time-after-midnight"
)

var levels = map[string]record.Level{
	ruleUnread: record.Error, ruleImpossible: record.Error, ruleOrder: record.Warning,
	ruleOrderOther: record.Warning, ruleNoYear: record.Error, ruleYearTaken: record.Note,
	ruleTwoDigits: record.Warning, ruleOutside: record.Warning, ruleLate: record.Error,
	ruleSerial: record.Note, ruleSeason: record.Warning, ruleVague: record.Note,
	ruleDoubtful: record.Note, ruleWeekday: record.Warning, ruleReversed: record.Error,
	ruleTime: record.Warning, ruleTimeLoose: record.Note, ruleTimeShift: record.Warning,
	ruleNight: record.Note,
}
