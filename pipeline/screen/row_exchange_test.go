package screen

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// exchangeRows lets two neighbours have each other's readings of some measurements.
func exchangeRows(a, b *record.Capture, names ...string) (cells []record.Address) {
	for _, name := range names {
		at := func(c *record.Capture) int {
			return slices.IndexFunc(c.Readings, func(r record.Reading) bool { return r.Measurement == name && !r.Derived })
		}
		i, k := at(a), at(b)
		if i < 0 || k < 0 {
			continue
		}
		x, y := a.Readings[i].Text, b.Readings[k].Text
		rewrite(a, i, y)
		rewrite(b, k, x)
		cells = append(cells, a.Readings[i].From(), b.Readings[k].From())
	}
	return cells
}

// Two neighbours of unlike size whose values were exchanged are one finding, with
// hardly another on their rows.
func TestRowsExchanged(t *testing.T) {
	for _, names := range [][]string{{"tibiaLength"}, {"headWidth"}, {"femurLength", "footLength"},
		{"tibiaLength", "femurLength", "headWidth", "eyeDiameter", "tympanumDiameter", "footLength"}} {
		planted, found, more := 0, 0, 0
		for seed := range uint64(need.Times(4, 6)) {
			all := simulate(200, 60+seed)
			var pairs [][]record.Address
			for i := 10; i+1 < len(all); i += 20 {
				a, b := all[i].Reading(bodyLength), all[i+1].Reading(bodyLength)
				if a == nil || b == nil || a.Number < 1.4*b.Number && b.Number < 1.4*a.Number {
					continue
				}
				if cells := exchangeRows(all[i], all[i+1], names...); len(cells) > 1 {
					pairs = append(pairs, cells)
				}
			}
			planted += len(pairs)
			fs := slices.DeleteFunc(Screen(all, nil, Defaults()), func(f record.Finding) bool { return f.Level < record.Warning })
			for _, cells := range pairs {
				for _, f := range fs {
					switch {
					case f.At.Row != cells[0].Row && f.At.Row != cells[1].Row:
					case f.Rule == "rows-exchanged":
						found++
					default:
						more++
					}
				}
			}
		}
		t.Logf("%v: %d of %d found, %d other findings on their rows", names, found, planted, more)
		if planted < 10 || 3*found < 2*planted || found > planted || 4*more > planted {
			t.Errorf("%v: %d of %d found", names, found, planted)
		}
	}
	clean := 0
	for seed := range uint64(need.Times(5, 10)) {
		for _, f := range Screen(simulate(300, 80+seed), nil, Defaults()) {
			if f.Rule == "rows-exchanged" {
				clean++
			}
		}
	}
	if clean > 0 {
		t.Errorf("%d exchanges in clean surveys", clean)
	}
}

// What neighbouring rows tell is the same however a survey is cut: rows that
// exchanged their values over the end of a part, and values that were copied over it.
func TestNeighboursInParts(t *testing.T) {
	all := simulate(600, 61)
	planted := 0
	for i := 31; i+1 < len(all); i += 32 {
		a, b := all[i], all[i+1]
		switch x, y := a.Reading(bodyLength), b.Reading(bodyLength); {
		case x == nil || y == nil:
		case x.Number > 1.4*y.Number || y.Number > 1.4*x.Number:
			if len(exchangeRows(a, b, "tibiaLength", "femurLength")) > 1 {
				planted++
			}
		case i%64 == 63:
			if k := slices.IndexFunc(b.Readings, func(r record.Reading) bool { return r.Measurement == "headWidth" }); k >= 0 {
				if head := a.Reading("headWidth"); head != nil {
					rewrite(b, k, head.Text)
				}
			}
		}
	}
	want := Screen(all, nil, Defaults())
	exchanged := 0
	for _, f := range want {
		if f.Rule == "rows-exchanged" {
			exchanged++
		}
	}
	if planted < 4 || exchanged < 3 {
		t.Fatalf("%d planted, %d found", planted, exchanged)
	}
	for _, size := range []int{32, 64, 100, 599} {
		if d := cmp.Diff(want, inParts(t, all, size, nil, Defaults())); d != "" {
			t.Errorf("parts of %d: %s", size, d)
		}
		if size != 64 && need.Times(0, 1) == 0 {
			continue
		}
		if d := cmp.Diff(want, inPartsBy(t, all, size, nil, Defaults(), apart)); d != "" {
			t.Errorf("parts of %d on many machines: %s", size, d)
		}
	}
}
