package need

import "spadefoot/pipeline/record"

// Errors counts the findings at level error.
func Errors(fs []record.Finding) int {
	n := 0
	for i := range fs {
		if fs[i].Level == record.Error {
			n++
		}
	}
	return n
}
