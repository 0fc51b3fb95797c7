package record

import "slices"

// Spread says what the cells of a finding are to each other, and so how they
// are decided on.
type Spread uint8

// The spreads of a finding.
const (
	Alone    Spread = iota // At is in doubt, Also are what it is held against
	Each                   // At and Also have the same fault, each by itself
	Together               // At and Also make one slip: columns exchanged, rows that were shifted
)

// Mend is what a cell would be if a suggestion were taken, as it would be
// written; an empty text is a blank cell.
type Mend struct {
	At   Address
	Text string
}

// Cells are the cells that a decision on the finding is about, At the first of
// them.
func (f *Finding) Cells() []Address {
	if f.Spread == Alone {
		return []Address{f.At}
	}
	out := append([]Address{f.At}, f.Also...)
	for _, m := range f.Mends {
		if !slices.Contains(out, m.At) {
			out = append(out, m.At)
		}
	}
	return out
}
