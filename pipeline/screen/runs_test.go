package screen

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// A column that was copied into another for thirty rows is one finding.
func TestAColumnCopiedIsOneFinding(t *testing.T) {
	all := simulate(400, 72)
	n := 0
	for _, c := range all[100:130] {
		from, to := c.Reading("tibiaLength"), c.Reading("headWidth")
		if from == nil || to == nil {
			continue
		}
		i := slices.IndexFunc(c.Readings, func(r record.Reading) bool { return r.Measurement == "headWidth" })
		rewrite(c, i, from.Text)
		n++
	}
	fs := Screen(all, nil, Defaults())
	fs = slices.DeleteFunc(fs, func(f record.Finding) bool { return f.Level < record.Warning })
	if len(fs) != 1 || len(fs[0].Also) != n-1 || !strings.Contains(fs[0].Reason, "Nearly all of them repeat the number under tibia length") {
		t.Errorf("%d cells, got %d findings: %+v", n, len(fs), fs)
	}
}

// Rows of unlike animals give no row shift: any other row's values fit them better.
func TestUnlikeNeighboursAreNoRowShift(t *testing.T) {
	all := simulate(400, 73)
	for k, c := range all[200:206] {
		for i := range c.Readings {
			if r := &c.Readings[i]; r.Measurement == "tibiaLength" || r.Measurement == "footLength" {
				rewrite(c, i, strconv.FormatFloat(r.Number*math.Pow(1.25, float64(1-2*(k%2))), 'f', 1, 64))
			}
		}
	}
	if fs := of(Screen(all, nil, Defaults()), "rows-shifted"); len(fs) > 0 {
		t.Errorf("got %+v", fs)
	}
}
