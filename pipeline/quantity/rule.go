package quantity

import "spadefoot/pipeline/record"

// The rules that this package raises; schemas/rules/quantity.csv describes
// them.
const (
	ruleUnread    = "number-unread"
	ruleLetter    = "letter-for-digit"
	ruleDate      = "number-became-date"
	ruleDigits    = "digits-lost"
	ruleFault     = "spreadsheet-fault"
	ruleNoise     = "stored-digits"
	ruleMark      = "decimal-mark-unclear"
	ruleMarkOther = "decimal-mark-other"
	ruleFraction  = "fraction-or-two"
	ruleTwo       = "two-measurements"
	ruleRange     = "range-reversed"
	ruleUnit      = "unit-unknown"
	ruleDimension = "unit-dimension"
	ruleNoUnit    = "unit-missing"
	ruleSentinel  = "sentinel-missing"
	ruleZero      = "zero-missing"
	ruleNegative  = "value-negative"
	ruleNought    = "value-zero"
	ruleQuestion  = "missing-doubtful"
	ruleDoubted   = "doubted-by-writer"
	ruleNote      = "note-in-cell"
)

var levels = map[string]record.Level{
	ruleUnread: record.Error, ruleLetter: record.Error, ruleDate: record.Error,
	ruleDigits: record.Error, ruleFault: record.Error, ruleNoise: record.Note,
	ruleMark: record.Error, ruleMarkOther: record.Note,
	ruleFraction: record.Error, ruleTwo: record.Warning, ruleRange: record.Error,
	ruleUnit: record.Error, ruleDimension: record.Error, ruleNoUnit: record.Warning,
	ruleSentinel: record.Note, ruleZero: record.Note, ruleQuestion: record.Note,
	ruleNegative: record.Error, ruleNought: record.Warning,
	ruleDoubted: record.Note, ruleNote: record.Note,
}
