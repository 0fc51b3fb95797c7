package normalise

import (
	"spadefoot/pipeline/record"
)

// What only tests call.

// Table turns the rows of a mapped table into captures, on all processors; what
// comes out does not depend on their number. A table with one row per
// measurement returns one capture for each run of rows with the same key.
func Table(t *record.Table, x *Context) ([]*record.Capture, []record.Finding) {
	r := Begin(t, x)
	r.found = gathered{}
	out, _ := r.Add(t.Rows)
	last, fs := r.End()
	return append(out, last...), fs
}
