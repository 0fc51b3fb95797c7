package screen

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// onDay returns the captures of one session of a simulated survey.
func onDay(captures []*record.Capture, session string) []*record.Capture {
	var out []*record.Capture
	for _, c := range captures {
		if c.Session == session {
			out = append(out, c)
		}
	}
	return out
}

// scaleAll divides a measurement of captures by a number and returns the cells.
func scaleAll(captures []*record.Capture, measurement string, by float64, decimals int) []record.Address {
	var cells []record.Address
	for _, c := range captures {
		for i := range c.Readings {
			if r := &c.Readings[i]; r.Measurement == measurement || measurement == "" && r.Unit == "mm" {
				cells = append(cells, r.From())
				rewrite(c, i, strconv.FormatFloat(r.Number/by, 'f', decimals, 64))
			}
		}
	}
	return cells
}

func exchangeAll(captures []*record.Capture, a, b string) []record.Address {
	var cells []record.Address
	for _, c := range captures {
		i := slices.IndexFunc(c.Readings, func(r record.Reading) bool { return r.Measurement == a })
		k := slices.IndexFunc(c.Readings, func(r record.Reading) bool { return r.Measurement == b })
		if i >= 0 && k >= 0 {
			ta, tb := c.Readings[i].Text, c.Readings[k].Text
			cells = append(cells, rewrite(c, i, tb).cells[0], rewrite(c, k, ta).cells[0])
		}
	}
	return cells
}

func leaveBagIn(captures []*record.Capture) []record.Address {
	var cells []record.Address
	for _, c := range captures {
		if w := c.Weighing; w != nil && w.Gross != nil && c.Reading(bodyMass) != nil {
			cells = append(cells, w.Gross.From())
			writeNet(c, w.Gross.Text)
		}
	}
	return cells
}

// One slip down a whole column is one finding with all its cells, and leaves
// no others behind.
func TestSlipsOfManyAreOneFinding(t *testing.T) {
	for _, c := range []struct {
		name   string
		do     func(all []*record.Capture) []record.Address
		rule   string
		reason string
		most   int // findings at warning or above
	}{
		{"tibia of a day in cm", func(all []*record.Capture) []record.Address {
			return scaleAll(onDay(all, "day 7"), "tibiaLength", 10, 2)
		}, "column-slip", "ten times too small", 1},
		{"all lengths of a day in cm", func(all []*record.Capture) []record.Address { return scaleAll(onDay(all, "day 7"), "", 10, 2) }, "column-slip", "ten times too small", 1},
		{"all lengths of a day in inches", func(all []*record.Capture) []record.Address { return scaleAll(onDay(all, "day 7"), "", inch, 2) }, "column-slip", "inches", 1},
		{"point left out", func(all []*record.Capture) []record.Address {
			return scaleAll(onDay(all, "day 3"), "headWidth", 0.1, 0)
		}, "column-slip", "ten times too large", 1},
		{"eye and drum exchanged", func(all []*record.Capture) []record.Address {
			return exchangeAll(onDay(all, "day 5"), "eyeDiameter", "headWidth")
		}, "column-slip", "swapped", 1},
		{"bag left in", func(all []*record.Capture) []record.Address { return leaveBagIn(onDay(all, "day 7")) }, "column-slip", "bag was not subtracted", 1},
		{"two of a day are two", func(all []*record.Capture) []record.Address {
			return scaleAll(onDay(all, "day 7")[:2], "tibiaLength", 10, 2)
		}, "", "", 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			kinds := frogs
			if c.name == "bag left in" {
				kinds = frogs[2:3] // of few grams: the bag weighs a good part
			}
			all := simulateKinds(280, 22, kinds)
			cells := c.do(all)
			fs := slices.DeleteFunc(Screen(all, nil, Defaults()), func(f record.Finding) bool { return f.Level < record.Warning })
			if len(fs) > c.most {
				t.Errorf("%d findings, want %d", len(fs), c.most)
			}
			covered := map[record.Address]bool{}
			for _, f := range fs {
				covered[f.At] = true
				for _, a := range f.Also {
					covered[a] = true
				}
				if c.rule != "" && (f.Rule != c.rule || !strings.Contains(f.Reason, c.reason)) {
					t.Errorf("%s at %s → %s: %s", f.Rule, f.At, f.Suggestion, f.Reason)
				}
			}
			missed := 0
			for _, a := range cells {
				if !covered[a] {
					missed++
				}
			}
			if missed*10 > len(cells) {
				t.Errorf("%d of %d cells missed", missed, len(cells))
			}
			if testing.Verbose() && len(fs) > 0 {
				t.Log(fs[0].Reason)
			}
		})
	}
}

// A slip that was made from one row of a sheet to another, whatever the days and the
// observers, is one finding with the rows, and leaves rows that have another slip
// besides to that.
func TestSlipOfARunOfRowsIsOneFinding(t *testing.T) {
	for _, c := range []struct {
		name, reason string
		do           func(run []*record.Capture) []record.Address
	}{
		{"tibia in cm", "ten times too small", func(run []*record.Capture) []record.Address { return scaleAll(run, "tibiaLength", 10, 2) }},
		{"lengths in inches", "recorded in inches", func(run []*record.Capture) []record.Address { return scaleAll(run, "", inch, 2) }},
		{"columns swapped", "swapped", func(run []*record.Capture) []record.Address { return exchangeAll(run, "eyeDiameter", "headWidth") }},
	} {
		t.Run(c.name, func(t *testing.T) {
			all := simulateKinds(900, 22, frogs)
			var run []*record.Capture
			for _, one := range all {
				if one.Row >= 100 && one.Row < 420 {
					run = append(run, one)
				}
			}
			cells := c.do(run)
			scaleAll(run[20:21], grossMass, 0.1, 0)
			var slips []record.Finding
			for _, f := range Screen(all, nil, Defaults()) {
				if f.Rule == "column-slip" {
					slips = append(slips, f)
				} else if f.Level >= record.Warning && f.At.Row >= 100 && f.At.Row < 420 && f.Field != bodyMass {
					t.Errorf("beside it: %s at %s: %s", f.Rule, f.At, f.Reason)
				}
			}
			if len(slips) != 1 {
				t.Fatalf("%d findings on slips of many", len(slips))
			}
			f := slips[0]
			told := 1 + len(f.Also)
			if !strings.Contains(f.Reason, c.reason) || !strings.Contains(f.Reason, " in rows ") || told > len(cells) || told*100 < 98*len(cells) {
				t.Errorf("%d of %d cells: %s", told, len(cells), f.Reason)
			}
		})
	}
}
