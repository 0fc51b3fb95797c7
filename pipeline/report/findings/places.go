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
		b = appendRun(b, r)
		if left := len(folded) - i; len(b)-from > maxInCell {
			b = append(b[:before], "; and "...)
			return append(strconv.AppendInt(b, int64(left), 10), " more"...)
		}
	}
	return b
}

// appendRun writes a run as its String does.
func appendRun(b []byte, r record.Run) []byte {
	b = append(b, r.File...)
	if r.Sheet != "" {
		b = append(append(b, ", tab "...), r.Sheet...)
	}
	several := r.Last > r.Row
	switch {
	case r.Row > 0 && r.Column > 0:
		b = strconv.AppendInt(append(append(b, ", "...), letters(r.Column)...), int64(r.Row), 10)
		if several {
			b = strconv.AppendInt(append(append(b, ':'), letters(r.Column)...), int64(r.Last), 10)
		}
	case r.Row > 0 && several:
		b = strconv.AppendInt(append(b, ", rows "...), int64(r.Row), 10)
		b = strconv.AppendInt(append(b, " to "...), int64(r.Last), 10)
	case r.Row > 0:
		b = strconv.AppendInt(append(b, ", row "...), int64(r.Row), 10)
	case r.Column > 0:
		b = append(append(b, ", column "...), letters(r.Column)...)
	}
	return b
}
