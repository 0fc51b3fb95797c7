package prove

import "spadefoot/pipeline/record"

// Unfit says why a text cannot be published under a term, or "" where it can: by
// the checks that an archive of our own has to pass, one value at a time.
func Unfit(term, text string) string {
	c, there := checks[term]
	if text == "" || !there || c.quick != nil && c.quick([]byte(text)) {
		return ""
	}
	if f := c.full(text); f != nil && (&prover{strict: true}).level(f.rule) == record.Error {
		return f.reason
	}
	return ""
}
