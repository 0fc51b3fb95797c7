package prove

import (
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/succession"
)

// Fitness finds the values that cannot be published under their terms, in one capture
// after the other, by the checks that an archive of our own has to pass, one value at a
// time. It remembers the last value of each term, since most are the same in many captures.
// It is for one goroutine.
type Fitness struct {
	terms succession.Terms
	last  []fitValue // by number of the term
}

// fitValue is a value of a term and what is wrong with it.
type fitValue struct {
	text, why string
	check     check // nil functions where the term has none
	bytes     []byte
}

// Unfit is a value that cannot be published, and why.
type Unfit struct {
	*record.Value
	Why string
}

// Unfit returns the values of a capture that cannot be published.
func (f *Fitness) Unfit(c *record.Capture) (out []Unfit) {
	numbers := f.terms.Of(c)
	for _, term := range f.terms.All()[len(f.last):] {
		f.last = append(f.last, fitValue{check: checks[term]})
	}
	for i, n := range numbers {
		v, last := &c.Values[i], &f.last[n]
		if last.check.full == nil {
			continue
		}
		if v.Text != last.text {
			last.judge(v.Text)
		}
		if last.why != "" {
			out = append(out, Unfit{v, last.why})
		}
	}
	return out
}

func (v *fitValue) judge(text string) {
	v.text, v.why = text, ""
	if v.bytes = append(v.bytes[:0], text...); text == "" || v.check.quick != nil && v.check.quick(v.bytes) {
		return
	}
	if found := v.check.full(text); found != nil && (&prover{strict: true}).level(found.rule) == record.Error {
		v.why = found.reason
	}
}
