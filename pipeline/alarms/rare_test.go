package alarms

import (
	"fmt"
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

// Gross slips of animals that few others are like are told by the model of all taxa: the
// mass of a small frog by the bag that small frogs have, a length in cm whatever
// decimals its hand writes in mm, and a measurement that its kind has too few of.
func TestGrossSlipsOfRareAnimals(t *testing.T) {
	for _, c := range []struct {
		what   string
		kind   string
		n      int
		heaped bool
		survey uint64
		column int
	}{
		{"gross ten times too large, of the only one of its kind", "ten times too large", 100, false, 10, atGross + 1},
		{"eye in cm, of few", "cm for mm", 30, false, 282, 12},
		{"eye in cm, of a kind with too few eyes", "cm for mm", 30, true, 62, 12},
		{"femur ten times too large, of a kind with too few body lengths", "ten times too large", 100, false, 37, 10},
	} {
		t.Run(c.what, func(t *testing.T) {
			seed := 100*uint64(c.n) + c.survey
			w := newFieldwork(seed, c.heaped)
			w.work(c.n)
			slips := plantSlips(w.rows, slipKinds, 25, seed)
			at := slices.IndexFunc(slips, func(s slip) bool { return s.kind == c.kind && slices.Contains(s.cells, c.column) })
			if at < 0 {
				t.Fatal(slips)
			}
			s := slips[at]
			if !slices.ContainsFunc(examine(t, w.sheet()), func(f record.Finding) bool { return s.at(f.At.Row, f.At.Column) }) {
				t.Error("missed:", fmt.Sprintf("%+v", s), w.rows[s.row-2])
			}
		})
	}
}
