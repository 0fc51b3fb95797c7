package screen

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// What neighbouring rows tell is the same whether a slip of many stands in a third of
// the sheet or not: it is told by the survey as corrected, however that is cut.
func TestNeighboursAreJudgedAsCorrected(t *testing.T) {
	const n = 1800
	made := func() []*record.Capture {
		all := simulate(n, 71)
		for i := n/2 + 7; i+1 < n; i += 40 {
			exchangeRows(all[i], all[i+1], "footLength", "femurLength")
		}
		shiftUp(all, "femurLength", n-90, n-60)
		return all
	}
	told := func(found []record.Finding) (out []record.Address) {
		for _, f := range found {
			if f.Rule == "rows-exchanged" || f.Rule == "rows-shifted" {
				out = append(out, f.At)
			}
		}
		return out
	}
	want := told(Screen(made(), nil, Defaults()))
	if len(want) < 5 {
		t.Fatalf("%d found without a slip of many", len(want))
	}
	for _, c := range []struct {
		name string
		do   func(run []*record.Capture)
	}{
		{"columns swapped", func(run []*record.Capture) { exchangeAll(run, "headWidth", "tibiaLength") }},
		{"other columns swapped", func(run []*record.Capture) { exchangeAll(run, "eyeDiameter", "headWidth") }},
		{"tibia in cm", func(run []*record.Capture) { scaleAll(run, "tibiaLength", 10, 2) }},
		{"lengths in inches", func(run []*record.Capture) { scaleAll(run, "", inch, 2) }},
		{"bags left in", func(run []*record.Capture) { leaveBagIn(run) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			all := made()
			c.do(all[:n/3])
			found := Screen(all, nil, Defaults())
			if d := cmp.Diff(want, told(found)); d != "" {
				t.Error(d)
			}
			if c.name != "columns swapped" && need.Times(0, 1) == 0 {
				return
			}
			if d := cmp.Diff(found, inParts(t, all, 512, nil, Defaults())); d != "" {
				t.Error("in parts:", d)
			}
			if d := cmp.Diff(found, inPartsBy(t, all, 512, nil, Defaults(), apart)); d != "" {
				t.Error("on many machines:", d)
			}
		})
	}
}
