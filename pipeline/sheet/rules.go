package sheet

// The codes of this stage's findings, described in schemas/rules/sheet.csv.
const (
	ruleEncoding    = "encoding-guessed"
	ruleLost        = "character-lost"
	ruleControl     = "control-character"
	ruleSeparator   = "separator-guessed"
	ruleRowNames    = "row-names"
	ruleRagged      = "row-ragged"
	ruleQuoteStray  = "quote-stray"
	ruleQuoteOpen   = "quote-unclosed"
	ruleKind        = "kind-mismatch"
	ruleTabHidden   = "tab-hidden"
	ruleRowsHidden  = "rows-hidden"
	ruleColsHidden  = "columns-hidden"
	ruleNoValue     = "formula-no-value"
	ruleFault       = "cell-fault"
	ruleDigits      = "digits-lost"
	ruleFill        = "fill-meaning"
	ruleMerge       = "merge-covered"
	ruleYearUnshown = "date-year-unshown"
	ruleLeftAlone   = "left-alone"
	ruleUnread      = "file-unread"
)
