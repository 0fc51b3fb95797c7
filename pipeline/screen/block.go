package screen

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// block is a set of captures that share a cause of slips: a sheet, a session,
// an observer, a day of an observer.
type block struct {
	kind string // how it is said: "of sheet", "of session"
	name string
	rows []int32 // indices of captures, ascending
}

// leastInBlock is the number of cells from which a slip of many is one cause.
const leastInBlock = 3

// blockKinds are the kinds of blocks, those that say more closely where a slip
// was made last.
var blockKinds = [...]string{"of the sheet", "of the table", "of the session", "by the observer", "of the day", "of the day by the observer"}

// blockKey tells blocks of one kind from each other.
type blockKey struct {
	a, b  string
	table int
}

// keys gives the key of each kind for a capture; empty where it has none.
func blockKeys(c *record.Capture) [len(blockKinds)]blockKey {
	day, observer := c.Get("eventDate"), c.Get("recordedBy")
	keys := [...]blockKey{{a: c.File, b: c.Sheet}, {c.File, c.Sheet, 1 + c.Table}, {a: c.Session}, {a: observer}, {a: day}, {}}
	if day != "" && observer != "" {
		keys[5] = blockKey{a: day, b: observer}
	}
	return keys
}

func (k blockKey) name(kind int) string {
	switch {
	case kind == 0 && k.b != "":
		return k.a + ", tab " + k.b
	case kind == 1:
		return fmt.Sprintf("%s, table %d", blockKey{a: k.a, b: k.b}.name(0), k.table-1)
	case kind == 5:
		return k.a + " by " + k.b
	}
	return k.a
}

// blocksOf lists the blocks of a survey. Two blocks of the same captures are
// one; the earlier kind gives it its name.
func blocksOf(rows []*row) []block {
	var blocks []block
	for kind, members := range sortIntoBlocks(rows) {
		var own []block
		for _, m := range members {
			if len(m.rows) >= leastInBlock {
				own = append(own, block{blockKinds[kind], m.key.name(kind), m.rows})
			}
		}
		slices.SortFunc(own, func(a, b block) int { return strings.Compare(a.name, b.name) })
		blocks = append(blocks, own...)
	}
	return withoutTwins(blocks)
}

type members struct {
	key  blockKey
	rows []int32
}

// sortIntoBlocks sorts rows by the keys of each kind.
func sortIntoBlocks(rows []*row) (sorted [len(blockKinds)][]members) {
	var index [len(blockKinds)]map[blockKey]int
	var last [len(blockKinds)]int
	for kind := range index {
		index[kind], last[kind] = map[blockKey]int{}, -1
	}
	for i, r := range rows {
		for kind, key := range blockKeys(r.capture) {
			if key == (blockKey{}) {
				continue
			}
			of := &sorted[kind]
			at := last[kind] // rows of a block often follow each other
			if at < 0 || (*of)[at].key != key {
				var known bool
				if at, known = index[kind][key]; !known {
					at = len(*of)
					index[kind][key] = at
					*of = append(*of, members{key: key})
				}
				last[kind] = at
			}
			(*of)[at].rows = append((*of)[at].rows, int32(i))
		}
	}
	return sorted
}

// withoutTwins drops blocks of the same captures as an earlier one.
func withoutTwins(blocks []block) []block {
	type outline struct{ n, first, last int32 }
	seen := map[outline][]int{}
	kept := blocks[:0]
	for _, b := range blocks {
		o := outline{int32(len(b.rows)), b.rows[0], b.rows[len(b.rows)-1]}
		if slices.ContainsFunc(seen[o], func(i int) bool { return slices.Equal(kept[i].rows, b.rows) }) {
			continue
		}
		seen[o] = append(seen[o], len(kept))
		kept = append(kept, b)
	}
	return kept
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
