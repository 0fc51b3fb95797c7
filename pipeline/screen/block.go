package screen

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/record/sorting"
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

// observers is the kind of block that is strewn over a sheet.
const observers = 3

// blockName names the block of a kind that a capture belongs to, "" if none.
func blockName(kind int, c *record.Capture) string {
	switch kind {
	case 0:
		if c.Sheet != "" {
			return c.File + ", tab " + c.Sheet
		}
		return c.File
	case 1:
		return fmt.Sprintf("%s, table %d", blockName(0, c), c.Table)
	case 2:
		return c.Session
	case 3:
		return c.Get("recordedBy")
	case 4:
		return c.Get("eventDate")
	}
	day, observer := c.Get("eventDate"), c.Get("recordedBy")
	if day == "" || observer == "" {
		return ""
	}
	return day + " by " + observer
}

// blockMarks returns hashes that differ where the names of blocks do, by kind; 0
// where there is no name.
func blockMarks(r *row) (marks [len(blockKinds)]uint64) {
	c, day, observer := r.capture, r.day, r.observer
	marks[0] = hash(c.File, c.Sheet)
	marks[1] = digest.Spread(marks[0] + uint64(c.Table))
	marks[2], marks[3], marks[4] = hashOrNone(c.Session), hashOrNone(observer), hashOrNone(day)
	if day != "" && observer != "" {
		marks[5] = digest.Spread(marks[3]) + marks[4]
	}
	return marks
}

// blocksOf lists the blocks of a survey. Two blocks of the same captures are
// one; the earlier kind gives it its name.
func blocksOf(rows []*row) []block {
	marks := make([][len(blockKinds)]uint64, len(rows))
	for i, r := range rows {
		marks[i] = blockMarks(r)
	}
	var blocks []block
	s := newSorter(len(rows))
	for kind := range blockKinds {
		var own []block
		s.sort(len(rows), func(i int) uint64 { return marks[i][kind] }, func(members []int32) {
			own = append(own, block{blockKinds[kind], blockName(kind, rows[members[0]].capture), slices.Clone(members)})
		})
		sorting.Func(own, func(a, b block) int { return strings.Compare(a.name, b.name) })
		blocks = append(blocks, own...)
	}
	return withoutTwins(blocks)
}

// sorter sorts rows into the sets that have a mark in common. Most of the sets
// of a survey are too small to be blocks, so that none is made of them.
type sorter struct {
	slots []int32  // by mark: the last set of that mark and 1, 0 for none
	marks []uint64 // of each set
	sizes []int32
	last  []int32 // row of each set
	next  []int32 // for each row the row before it in its set, -1 if none
}

func newSorter(rows int) *sorter {
	size := 64
	for size < 2*rows {
		size *= 2
	}
	return &sorter{slots: make([]int32, size), next: make([]int32, rows)}
}

// sort hands over the sets of enough rows. The rows of a set ascend.
func (s *sorter) sort(rows int, mark func(row int) uint64, do func(members []int32)) {
	clear(s.slots)
	s.marks, s.sizes, s.last = s.marks[:0], s.sizes[:0], s.last[:0]
	for i := range rows {
		m := mark(i)
		if m == 0 {
			continue
		}
		set := s.set(m)
		s.next[i] = s.last[set]
		s.last[set] = int32(i)
		s.sizes[set]++
	}
	var members []int32
	for set, n := range s.sizes {
		if n < leastInBlock {
			continue
		}
		members = append(members[:0], make([]int32, n)...)
		for at := s.last[set]; at >= 0; at = s.next[at] {
			n--
			members[n] = at
		}
		do(members)
	}
}

// set finds the set of a mark by linear probing.
func (s *sorter) set(mark uint64) int {
	at := digest.Spread(mark) & uint64(len(s.slots)-1)
	for ; s.slots[at] != 0; at = (at + 1) & uint64(len(s.slots)-1) {
		if set := int(s.slots[at]) - 1; s.marks[set] == mark {
			return set
		}
	}
	s.marks, s.sizes, s.last = append(s.marks, mark), append(s.sizes, 0), append(s.last, -1)
	s.slots[at] = int32(len(s.marks))
	return len(s.marks) - 1
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

// correction is a slip that may have happened to a whole column of a block: to
// one measurement, or to all of a kind at once.
type correction struct {
	slip    slip
	targets []string // measurements
	factor  float64  // on the value; 0 where it goes by tare or by exchange
	odds    float64  // prior that a block suffered it
	log     float64  // of the factor
	at      []int    // of the targets among the measurements of the part
}

// corrections lists the slips of whole columns for the measurements of a survey,
// lengths and masses.
func (f *fitted) corrections(lengths, masses []string) []correction {
	o := f.settings.Odds
	var list []correction
	add := func(s slip, by float64, targets ...string) {
		list = append(list, correction{slip: s, targets: targets, factor: by, odds: o.Block, log: math.Log(by)})
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
