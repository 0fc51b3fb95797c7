package withhold

import "spadefoot/pipeline/record"

// Result is what Hide did.
type Result struct {
	*Hiding
	Findings []record.Finding
}

// Hide withholds the places of a survey that is one part.
func Hide(captures []*record.Capture, tables []*record.Table, fs []record.Finding, s Settings) (*Result, error) {
	r := Begin(s)
	r.Choose(captures)
	some, err := r.Chosen()
	if err != nil || !some {
		return &Result{r, fs}, err
	}
	r.Release(captures)
	r.Released()
	r.Mask(captures, tables, fs...)
	return &Result{r, r.Findings(fs)}, nil
}
