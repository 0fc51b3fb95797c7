package screen

import (
	"slices"

	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/statistics"
)

// maxDeparted is the number of captures whose residuals are kept. Up to it
// observerBias is exact. Above, observers with the most captures keep an even
// choice of their sessions by hash, and, where only fewSessions are left, of
// the captures in each: an observer with hundreds of sessions keeps a hundred
// or more, so that the standard error of the effect grows with the root of
// sessions over sessions kept, and the test says so by itself.
const (
	maxDeparted = 20000
	fewSessions = 64
)

// bias gathers, for each observer, how far each measurement departs from what
// is expected from the rest of the animal.
type bias struct {
	words     words
	kinds     kinds // of the measurements that were viewed
	observers map[string]*observed
	captures  int // kept
}

// observed is one observer with what is kept of the sessions.
type observed struct {
	name     string
	took     []taken // by index of the measurement
	sessions map[uint64][]departed
	captures int    // kept
	session  uint64 // sessions up to this hash are kept
	capture  uint64 // captures up to this hash
}

// taken says how often an observer took a measurement, and where first.
type taken struct {
	n     int
	first spot
}

// departed is one capture with its residuals, of the log.
type departed struct {
	hash   uint64
	values []residual
}

type residual struct {
	measurement uint32
	value       float64
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
	for b.captures > maxDeparted {
		b.thin()
	}
}

func (b *bias) observer(name string) *observed {
	if o := b.observers[name]; o != nil {
		return o
	}
	o := &observed{name: b.words.keep(name), sessions: map[uint64][]departed{}, session: ^uint64(0), capture: ^uint64(0)}
	b.observers[o.name] = o
	return o
}

// index returns the place of the measurement of a cell.
func (b *bias) index(c *cell, near int) int {
	if at := b.kinds.find(c.measurement, near); at >= 0 {
		return at
	}
	return b.kinds.add(b.words.keep(c.measurement), c.kind)
}

func (o *observed) add(b *bias, v *view) {
	c := v.row.capture
	session, id := digest.Spread(hash(v.row.day, c.Session)), digest.Spread(hashOf(v.row))
	keep := session <= o.session && id <= o.capture
	var d departed
	if keep {
		d = departed{id, make([]residual, 0, len(v.cells))}
	}
	near := 0
	for i, cell := range v.cells {
		at := b.index(cell, near)
		near = at + 1
		for len(o.took) <= at {
			o.took = append(o.took, taken{})
		}
		t := &o.took[at]
		if t.n == 0 || t.first.capture.Compare(c.Address()) > 0 {
			t.first = b.words.keepSpot(spotOf(c, cell.first()))
		}
		t.n++
		if keep {
			d.values = append(d.values, residual{uint32(at), cell.log - v.expected(i) + cell.bias})
		}
	}
	if keep {
		o.sessions[session] = append(o.sessions[session], d)
		o.captures++
		b.captures++
	}
}

// thin halves what is kept of the observers with the most captures.
func (b *bias) thin() {
	most := 0
	for _, o := range b.observers {
		most = max(most, o.captures)
	}
	for _, o := range b.observers {
		if 2*o.captures > most {
			b.captures -= o.captures
			o.thin()
			b.captures += o.captures
		}
	}
}

func (o *observed) thin() {
	if len(o.sessions) > fewSessions {
		o.session /= 2
	} else {
		o.capture /= 2
	}
	o.captures = 0
	for session, of := range o.sessions {
		if session > o.session {
			delete(o.sessions, session)
			continue
		}
		of = slices.DeleteFunc(of, func(d departed) bool { return d.hash > o.capture })
		if o.captures += len(of); len(of) == 0 {
			delete(o.sessions, session)
			continue
		}
		o.sessions[session] = of
	}
}

// medians returns the median residual of each session with three or more, in
// ascending order.
func (o *observed) medians(measurement int) []float64 {
	var medians, values []float64
	for _, of := range o.sessions {
		values = values[:0]
		for _, d := range of {
			for _, v := range d.values {
				if int(v.measurement) == measurement {
					values = append(values, v.value)
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
