package record

import "slices"

// Spread says how the cells of a finding relate, and so how they are decided
// on.
type Spread uint8

// The spreads of a finding.
const (
	Alone    Spread = iota // At is in doubt, Also is what it is compared with
	Each                   // At and Also each have the same fault
	Together               // At and Also are one slip: swapped columns, shifted rows
)

// Rewrite is what a cell would become if a suggestion were taken, as it would be
// written; an empty text is a blank cell.
type Rewrite struct {
	At   Address
	Text string
}

// Places are all that the finding is at: At, then Also.
func (f *Finding) Places() []Address { return append([]Address{f.At}, f.Also...) }

// Cells are the cells that a decision on the finding applies to, At first.
func (f *Finding) Cells() []Address {
	if f.Spread == Alone {
		return []Address{f.At}
	}
	out := f.Places()
	for _, m := range f.Rewrites {
		if !slices.Contains(out, m.At) {
			out = append(out, m.At)
		}
	}
	return out
}
