package prove

import (
	"sync"

	"spadefoot/pipeline/record"
	"spadefoot/schemas"
)

// usual returns the level of each rule as the table of rules has it.
var usual = sync.OnceValue(func() map[string]record.Level {
	out := map[string]record.Level{}
	rules, err := schemas.Table[schemas.Rule]("rules/prove.csv")
	if err != nil {
		return out // every rule an error: nothing passes unseen
	}
	for _, r := range rules {
		var l record.Level
		if l.UnmarshalText([]byte(r.Level)) == nil {
			out[r.Code] = l
		}
	}
	return out
})

// release are rules that are errors in what we publish ourselves, whatever
// they are in the archives of others.
var release = map[string]bool{
	"term-deprecated": true, "term-wrong-class": true, "measurement-not-number": true, "header-differs": true,
	"line-end-differs": true, "byte-order-mark": true, "row-blank": true, "basis-not-class": true, "text-quote-stray": true,
}

func (p *prover) level(rule string) record.Level {
	if p.strict && release[rule] {
		return record.Error
	}
	if l, ok := usual()[rule]; ok {
		return l
	}
	return record.Error
}
