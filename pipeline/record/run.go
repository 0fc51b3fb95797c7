package record

import "strconv"

// Run is a run of cells below each other, or of whole rows if Column is 0: from
// the row of the address to the last, both included.
type Run struct {
	Address
	Last int `json:"last"`
}

// String writes the run for people: "frogs.csv, D2:D50001", or "frogs.csv, rows
// 2 to 9"; one of a single cell as its address.
func (r Run) String() string { return string(r.AppendTo(nil)) }

// AppendTo appends what String writes.
func (r Run) AppendTo(b []byte) []byte {
	switch {
	case r.Last <= r.Row:
		return r.Address.AppendTo(b)
	case r.Column > 0:
		b = AppendLetters(append(r.Address.AppendTo(b), ':'), r.Column)
	default:
		b = append(Address{File: r.File, Sheet: r.Sheet}.AppendTo(b), ", rows "...)
		b = append(strconv.AppendInt(b, int64(r.Row), 10), " to "...)
	}
	return strconv.AppendInt(b, int64(r.Last), 10)
}

// Holds reports whether a cell, or for a run of rows a cell in them, is in the
// run.
func (r Run) Holds(a Address) bool {
	return a.File == r.File && a.Sheet == r.Sheet && a.Row >= r.Row && a.Row <= r.Last && (a.Column == r.Column || r.Column == 0)
}

// Extend adds a cell to runs of cells that come in row order: to the last run
// if it is the next cell below.
func Extend(runs []Run, a Address) []Run {
	if n := len(runs); n > 0 {
		last := &runs[n-1]
		if a.File == last.File && a.Sheet == last.Sheet && a.Column == last.Column && a.Row == last.Last+1 {
			last.Last++
			return runs
		}
	}
	return append(runs, Run{a, a.Row})
}
