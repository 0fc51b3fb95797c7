package screen

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// block is a set of captures that share a cause of slips: a sheet, a session,
// an observer, a day of an observer.
type block struct {
	kind string // how it is said: "of sheet", "of session"
	name string
	rows []int // indices of captures, ascending
}

// leastInBlock is the number of cells from which a slip of many is one cause.
const leastInBlock = 3

// blocksOf lists the blocks of a survey. Two blocks of the same captures are
// one; the earlier kind gives it its name.
func blocksOf(rows []*row) []block {
	found := map[[2]string][]int{}
	kinds := []string{"of the sheet", "of the table", "of the session", "by the observer", "of the day", "of the day by the observer"}
	for i, r := range rows {
		c := r.capture
		sheet := c.File
		if c.Sheet != "" {
			sheet += ", tab " + c.Sheet
		}
		day, observer := c.Get("eventDate"), c.Get("recordedBy")
		names := []string{sheet, fmt.Sprintf("%s, table %d", sheet, c.Table), c.Session, observer, day, ""}
		if day != "" && observer != "" {
			names[5] = day + " by " + observer
		}
		for k, name := range names {
			if name != "" {
				key := [2]string{kinds[k], name}
				found[key] = append(found[key], i)
			}
		}
	}
	var blocks []block
	for key, idx := range found {
		if len(idx) >= leastInBlock {
			blocks = append(blocks, block{key[0], key[1], idx})
		}
	}
	slices.SortFunc(blocks, func(a, b block) int {
		return cmp.Or(slices.Index(kinds, a.kind)-slices.Index(kinds, b.kind), strings.Compare(a.name, b.name))
	})
	return withoutTwins(blocks)
}

// withoutTwins drops blocks of the same captures as an earlier one.
func withoutTwins(blocks []block) []block {
	seen := map[string]bool{}
	return slices.DeleteFunc(blocks, func(b block) bool {
		var key strings.Builder
		for _, i := range b.rows {
			fmt.Fprintf(&key, "%d,", i)
		}
		twin := seen[key.String()]
		seen[key.String()] = true
		return twin
	})
}

// title says which captures a block holds.
func (b block) title() string {
	switch b.kind {
	case "of the day by the observer":
		return "of " + b.name
	case "by the observer":
		return "by " + b.name
	case "of the day":
		return "of " + b.name
	}
	return b.kind + " " + b.name
}

// mending is a slip that may have happened to a whole column of a block: to
// one measurement, or to all of a kind at once.
type mending struct {
	slip    slip
	targets []string // measurements
	factor  float64  // on the value; 0 where it goes by tare or by exchange
	odds    float64  // prior that a block suffered it
	log     float64  // of the factor
}

// mendings lists the slips of whole columns for the measurements of a survey,
// lengths and masses.
func (f *fitted) mendings(lengths, masses []string) []mending {
	o := f.settings.Odds
	var list []mending
	add := func(s slip, by float64, targets ...string) {
		list = append(list, mending{slip: s, targets: targets, factor: by, odds: o.Block, log: math.Log(by)})
	}
	one := func(s slip, m string, by float64) { add(s, by, m) }
	for _, m := range append(slices.Clone(lengths), masses...) {
		one(tenTooSmall, m, 10)
		one(tenTooLarge, m, 0.1)
	}
	for _, m := range lengths {
		one(inInches, m, inch)
	}
	for _, m := range masses {
		one(inOunces, m, ounce)
	}
	if slices.Contains(masses, bodyMass) {
		one(tareLeftIn, bodyMass, 0)
		one(tareTwice, bodyMass, 0)
	}
	if len(lengths) > 1 {
		add(tenTooSmall, 10, lengths...)
		add(inInches, inch, lengths...)
	}
	for i := range lengths {
		for j := range i {
			add(columnsSwapped, 0, lengths[j], lengths[i])
		}
	}
	return list
}

// hits reports whether a mending changes a measurement.
func (m *mending) hits(measurement string) bool { return slices.Contains(m.targets, measurement) }
