package screen

// markIndex finds the captures of a day that have a reading: lists of captures,
// linked, by position and text.
type markIndex struct {
	last   map[uint64]int32
	links  []markLink
	common []int32 // readings that each capture has in common with one
	met    []int32 // captures that have any
}

type markLink struct{ capture, before int32 }

func newMarkIndex() *markIndex { return &markIndex{last: map[uint64]int32{}} }

// alikeIn compares the captures of one day. Only pairs that share a reading to
// the last digit are looked at, so that long days do not cost their square.
func (x *markIndex) alikeIn(group []*candidate, pairs [][2]int) [][2]int {
	if len(group) < 2 {
		return pairs
	}
	clear(x.last)
	x.links = x.links[:0]
	for len(x.common) < len(group) {
		x.common = append(x.common, 0)
	}
	for i := range group {
		best := x.most(group[i].marks)
		if best >= 0 && group[best].like(group[i]) {
			pairs = append(pairs, [2]int{group[best].ordinal, group[i].ordinal})
		}
		for _, m := range group[i].marks {
			before, ok := x.last[m]
			if !ok {
				before = -1
			}
			x.last[m] = int32(len(x.links))
			x.links = append(x.links, markLink{int32(i), before})
		}
	}
	return pairs
}

// most returns the capture that has most of these readings and at least three,
// the first of equals; -1 if none has.
func (x *markIndex) most(marks []uint64) int {
	x.met = x.met[:0]
	for _, m := range marks {
		at, ok := x.last[m]
		for ok && at >= 0 {
			l := x.links[at]
			if x.common[l.capture] == 0 {
				x.met = append(x.met, l.capture)
			}
			x.common[l.capture]++
			at = l.before
		}
	}
	best, most := -1, int32(minSame-1)
	for _, c := range x.met {
		if n := x.common[c]; n > most || n == most && best >= 0 && int(c) < best {
			best, most = int(c), n
		}
		x.common[c] = 0
	}
	return best
}

// like reports whether two captures may be one, by the readings that both have.
// It is never stricter than sameCapture: where a measurement stands twice in
// one of them, that is to decide.
func (a *candidate) like(b *candidate) bool {
	same, differ := 0, 0
	for i, m := range a.marks {
		for _, o := range a.marks[:i] {
			if o>>32 == m>>32 {
				return true
			}
		}
		at := -1
		for k, o := range b.marks {
			if o>>32 != m>>32 {
				continue
			}
			if at >= 0 {
				return true
			}
			at = k
		}
		switch {
		case at < 0:
		case b.marks[at] == m:
			same++
		default:
			differ++
		}
	}
	return differ == 0 && same >= minSame || differ == 1 && same >= minAlike
}
