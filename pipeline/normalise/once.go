package normalise

import (
	"fmt"

	"spadefoot/pipeline/record"
)

// once gathers findings that have one cause: the same word, written many times
// in one column, is one finding with the list of its cells. Errors stay apart,
// since each of them has to be mended by itself; notes that say the same of
// different values come together too.
func once(fs []record.Finding) []record.Finding {
	type cause struct{ rule, field, value, reason string }
	first := map[cause]int{}
	out := fs[:0:0]
	for _, f := range fs {
		k := cause{f.Rule, f.Field, f.Value, f.Reason}
		if f.Level == record.Note {
			k.value = ""
		}
		i, again := first[k]
		if f.Level == record.Error || f.Value == "" || !again {
			if f.Level != record.Error {
				first[k] = len(out)
			}
			out = append(out, f)
			continue
		}
		out[i].Also = append(out[i].Also, f.At)
	}
	for i := range out {
		if n := len(out[i].Also); n > 0 {
			out[i].Reason += fmt.Sprintf("; %d cells in all", n+1)
		}
	}
	return out
}
