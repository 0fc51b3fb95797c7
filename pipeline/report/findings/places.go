package findings

import (
	"strconv"

	"spadefoot/pipeline/record"
)

// appendPlaces lists the other cells of a finding as record.Run writes them,
// cells that follow each other down a column as one run. Where they are too
// many it says how many more there are.
func appendPlaces(b []byte, also []record.Address, runs []record.Run) []byte {
	folded := runs
	if len(also) > 0 {
		folded = make([]record.Run, 0, len(also)+len(runs))
		for _, a := range also {
			folded = record.Extend(folded, a)
		}
		folded = append(folded, runs...)
	}
	from := len(b)
	for i, r := range folded {
		before := len(b)
		if i > 0 {
			b = append(b, "; "...)
		}
		b = r.AppendTo(b)
		if left := len(folded) - i; len(b)-from > maxInCell {
			b = append(b[:before], "; and "...)
			return append(strconv.AppendInt(b, int64(left), 10), " more"...)
		}
	}
	return b
}
