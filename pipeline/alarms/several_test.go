package alarms

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// slipSeveral writes some of the lengths of an animal in another unit.
func slipSeveral(by float64, some int) func(*rand.Rand, []string) (slip, bool) {
	return func(draw *rand.Rand, row []string) (slip, bool) {
		at := lengthCells(row)
		if len(at) <= some {
			return slip{}, false
		}
		draw.Shuffle(len(at), func(i, k int) { at[i], at[k] = at[k], at[i] })
		var s slip
		for _, c := range at[:some] {
			s.cells = append(s.cells, c+1)
			row[c] = strconv.FormatFloat(number(row[c])/by, 'f', 2, 64)
		}
		return s, true
	}
}

// Lengths of an animal that were read in another unit, all but some, are one finding
// that says what each would be, and nothing else is said of them.
func TestSeveralLengthsInAnotherUnit(t *testing.T) {
	var kinds []slipKind
	for some := 2; some <= 5; some++ {
		kinds = append(kinds, slipKind{fmt.Sprintf("%d in inches", some), slipSeveral(millimetresPerInch, some)},
			slipKind{fmt.Sprintf("%d in cm", some), slipSeveral(10, some)})
	}
	planted, found, whole, more := 0, 0, 0, 0
	for seed := range uint64(4) {
		w := newFieldwork(300+seed, seed%2 == 1)
		w.work(500)
		clean := slices.Clone(w.rows)
		for i := range clean {
			clean[i] = slices.Clone(clean[i])
		}
		slips := plantSlips(w.rows, kinds, 25, 300+seed)
		planted += len(slips)
		all := examine(t, w.sheet())
		for _, s := range slips {
			told := 0
			for _, f := range all {
				switch {
				case f.At.Row != s.row || strings.HasPrefix(f.Rule, "recapture-") || f.Rule == "mark-reused":
				case f.Rule != "lengths-in-other-unit":
					more++
				default:
					told++
					if named(&s, f) && restored(f, clean[s.row-2]) {
						whole++
					}
				}
			}
			found += min(1, told)
		}
	}
	if found*100 < 97*planted || whole*100 < 90*planted || more*20 > planted {
		t.Errorf("of %d planted %d found, %d with every cell and what it would be; %d other findings on their rows", planted, found, whole, more)
	}
}

// named reports whether a finding names the cells of a slip, and no others.
func named(s *slip, f record.Finding) bool {
	if len(f.Also)+1 != len(s.cells) {
		return false
	}
	return !slices.ContainsFunc(append([]record.Address{f.At}, f.Also...), func(a record.Address) bool { return !slices.Contains(s.cells, a.Column) })
}

// restored reports whether a finding says what stood in its cells, to what was rounded
// away in inches.
func restored(f record.Finding, row []string) bool {
	for _, r := range f.Rewrites {
		text, _, _ := strings.Cut(r.Text, " ")
		if math.Abs(number(text)-number(row[r.At.Column-1])) > 0.2 {
			return false
		}
	}
	return len(f.Rewrites) == len(f.Also)+1
}
