package prove

import (
	"spadefoot/pipeline/record"
	"spadefoot/schemas"
)

// release are rules that are errors in what we publish ourselves, whatever
// they are in the archives of others.
var release = map[string]bool{
	"term-deprecated": true, "term-wrong-class": true, "measurement-not-number": true, "header-differs": true,
	"line-end-differs": true, "byte-order-mark": true, "row-blank": true, "basis-not-class": true, "text-quote-stray": true,
}

// level returns the level of a rule: that of the table of rules, or an error
// where it has none, so that nothing passes unseen.
func (p *prover) level(rule string) record.Level {
	level := record.Error
	if !p.strict || !release[rule] {
		_ = level.UnmarshalText([]byte(schemas.RuleOf()[rule].Level))
	}
	return level
}
