package prove

import (
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/succession"
)

// Unfit says why a text cannot be published under a term, or "" where it can: by
// the checks that an archive of our own has to pass, one value at a time.
func Unfit(term, text string) string { return new(Fitness).Unfit(term, text) }

// Fitness answers Unfit for the values of one record after the other. It remembers
// the last value of each term, since most are the same in many records. It is for
// one goroutine.
type Fitness struct {
	terms succession.Keys[string]
	last  []fitValue
	text  []byte
}

// fitValue is a value of a term and what is wrong with it.
type fitValue struct {
	text, why string
	check     check
	checked   bool // the term has a check
}

// Unfit is Unfit for the next value.
func (f *Fitness) Unfit(term, text string) string {
	i := f.terms.Find(term)
	if i < 0 {
		i = f.terms.Add(strings.Clone(term))
		v := fitValue{}
		v.check, v.checked = checks[term]
		f.last = append(f.last, v)
	}
	v := &f.last[i]
	if !v.checked || text == "" {
		return ""
	}
	if text == v.text {
		return v.why
	}
	v.text, v.why = text, ""
	if f.text = append(f.text[:0], text...); v.check.quick != nil && v.check.quick(f.text) {
		return ""
	}
	if found := v.check.full(text); found != nil && (&prover{strict: true}).level(found.rule) == record.Error {
		v.why = found.reason
	}
	return v.why
}
