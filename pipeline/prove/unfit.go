package prove

import "spadefoot/pipeline/record"

// Unfit says why a text cannot be published under a term, or "" where it can: by
// the checks that an archive of our own has to pass, one value at a time.
func Unfit(term, text string) string { return new(Fitness).Unfit(0, term, text) }

// Fitness answers Unfit for the values of one record after the other. It remembers
// the last value at each place, since most are the same in many records or of the
// same term. It is for one goroutine.
type Fitness struct {
	at   []fitValue
	text []byte
}

// fitValue is a value and what is wrong with it.
type fitValue struct {
	term, text, why string
	check           check
	checked         bool // the term has a check
}

// Unfit is Unfit for the value at a place of its record.
func (f *Fitness) Unfit(place int, term, text string) string {
	for place >= len(f.at) {
		f.at = append(f.at, fitValue{})
	}
	v := &f.at[place]
	if v.term != term {
		*v = fitValue{term: term}
		v.check, v.checked = checks[term]
	}
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
