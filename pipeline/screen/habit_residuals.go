package screen

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/statistics"
)

// maxDeparted is the number of captures whose residuals are kept. Up to it
// observerBias is exact. Above, sessions keep inSession captures at most, an even
// choice by hash, and observers as many captures each as there is room for, session
// by session in the order of their hashes: each of ten observers keeps a hundred
// sessions or more, so that the standard error of the effect grows with the root of
// sessions over sessions kept, and the test says so by itself. Which ones these are
// does not depend on the order in which captures come.
const (
	maxDeparted = 20000
	inSession   = 20
)

// bias gathers, for each observer, how far each measurement departs from what
// is expected from the rest of the animal.
type bias struct {
	words     words
	Kinds     kinds // of the measurements that were viewed
	Observers map[string]*observed
	Captures  int // kept
}

// observed is one observer with what is kept of the sessions.
type observed struct {
	Name     string
	Took     []taken // by index of the measurement
	Sessions map[uint64][]departed
	Captures int    // kept
	Beyond   uint64 // hashes of sessions above are not kept any more
}

// taken is how often an observer took a measurement, and where first.
type taken struct {
	N     int
	First spot
}

// departed is one capture with its residuals, of the log.
type departed struct {
	Hash   uint64
	Values []residual
}

type residual struct {
	Measurement uint32
	Value       float64
}

// add takes the residuals of a part in.
func (b *bias) add(j *search) {
	for i, r := range j.rows {
		v := j.sights[i].view
		if v == nil {
			continue
		}
		if r.observer != "" && len(v.cells) > 1 {
			b.observer(r.observer).add(b, v)
		}
	}
	b.choose(2 * maxDeparted)
}

func (b *bias) observer(name string) *observed {
	if o := b.Observers[name]; o != nil {
		return o
	}
	o := &observed{Name: b.words.keep(name), Sessions: map[uint64][]departed{}, Beyond: math.MaxUint64}
	b.Observers[o.Name] = o
	return o
}

// index returns the place of the measurement of a cell.
func (b *bias) index(c *cell, near int) int {
	if at := b.Kinds.find(c.measurement, near); at >= 0 {
		return at
	}
	return b.Kinds.add(b.words.keep(c.measurement), c.kind)
}

func (o *observed) add(b *bias, v *view) {
	c := v.row.capture
	session := digest.Spread(hash(v.row.day, c.Session))
	kept, near := session <= o.Beyond, 0
	var values []residual
	if kept {
		values = make([]residual, 0, len(v.cells))
	}
	for i, cell := range v.cells {
		at := b.index(cell, near)
		near = at + 1
		t := o.taken(at)
		if t.N == 0 || t.First.Capture.Compare(c.Address()) > 0 {
			t.First = b.words.keepSpot(spotOf(c, cell.first()))
		}
		t.N++
		if kept {
			values = append(values, residual{uint32(at), cell.log - v.expected(i) + cell.bias})
		}
	}
	if kept {
		o.keep(b, session, departed{digest.Spread(hashOf(v.row)), values})
	}
}

func (o *observed) keep(b *bias, session uint64, all ...departed) {
	if session > o.Beyond {
		return
	}
	o.Sessions[session] = append(o.Sessions[session], all...)
	o.Captures += len(all)
	b.Captures += len(all)
}

// taken is what was taken of a measurement.
func (o *observed) taken(at int) *taken {
	for len(o.Took) <= at {
		o.Took = append(o.Took, taken{})
	}
	return &o.Took[at]
}

// join adds the residuals of other parts.
func (b *bias) join(from *bias) {
	at := make([]int, len(from.Kinds.names)) // of the measurements
	for i, name := range from.Kinds.names {
		if at[i] = b.Kinds.find(name, i); at[i] < 0 {
			at[i] = b.Kinds.add(name, from.Kinds.of[i])
		}
	}
	for name, theirs := range from.Observers {
		own := b.observer(name)
		for i, t := range theirs.Took {
			to := own.taken(at[i])
			if t.N > 0 && (to.N == 0 || t.First.before(&to.First)) {
				to.First = t.First
			}
			to.N += t.N
		}
		for session, all := range theirs.Sessions {
			for _, d := range all {
				for k := range d.Values {
					d.Values[k].Measurement = uint32(at[d.Values[k].Measurement])
				}
			}
			own.keep(b, session, all...)
		}
	}
	b.choose(2 * maxDeparted)
}

// choose leaves maxDeparted captures where there are more than so many.
func (b *bias) choose(most int) {
	if b.Captures <= most {
		return
	}
	var sizes []int
	for _, o := range b.Observers {
		o.Captures = 0
		for session, all := range o.Sessions {
			if len(all) > inSession {
				slices.SortFunc(all, departed.compare)
				o.Sessions[session] = slices.Clone(all[:inSession])
			}
			o.Captures += len(o.Sessions[session])
		}
		sizes = append(sizes, o.Captures)
	}
	room := roomFor(maxDeparted, sizes)
	b.Captures = 0
	for _, o := range b.Observers {
		o.leave(room)
		b.Captures += o.Captures
	}
}

func (d departed) compare(o departed) int { return cmp.Compare(d.Hash, o.Hash) }

// roomFor is how much each of some takes at most of what there is room for.
func roomFor(room int, sizes []int) int {
	slices.Sort(sizes)
	for i, size := range sizes {
		if share := room / (len(sizes) - i); size > share {
			return share
		}
		room -= size
	}
	return room
}

// leave leaves so many captures, of the sessions with the lowest hashes. There is never
// more room later.
func (o *observed) leave(room int) {
	if o.Captures <= room {
		return
	}
	o.Captures = 0
	for _, session := range slices.Sorted(maps.Keys(o.Sessions)) {
		all := o.Sessions[session]
		if n := room - o.Captures; n < len(all) {
			slices.SortFunc(all, departed.compare)
			all = slices.Clone(all[:n])
		}
		if o.Captures += len(all); len(all) == 0 {
			delete(o.Sessions, session)
			continue
		}
		o.Sessions[session], o.Beyond = all, session
	}
}

// medians returns the median residual of each session with three or more, in
// ascending order.
func (o *observed) medians(measurement int) []float64 {
	var medians, values []float64
	for _, of := range o.Sessions {
		values = values[:0]
		for _, d := range of {
			for _, v := range d.Values {
				if int(v.Measurement) == measurement {
					values = append(values, v.Value)
				}
			}
		}
		if len(values) >= 3 {
			medians = append(medians, statistics.Median(values))
		}
	}
	slices.Sort(medians)
	return medians
}
