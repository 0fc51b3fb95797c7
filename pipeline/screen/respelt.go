package screen

import (
	"math"
	"sync/atomic"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
)

// respelt is what a usual slip makes of a value: its log afterwards, and the log of the
// prior.
type respelt struct{ log, prior float64 }

// spelling is all that the slips of a number depend on that a person wrote by itself.
type spelling struct {
	words           digest.Digest // as written, as published, and their units
	number          float64
	decimals, usual int
	comma           bool
	step            *step // of the hand and the measurement
}

// respellings remembers what slips make of a number: hands write the same few over and
// over. It holds as many as there are places, each where the digest of its words has it,
// and may be used by many goroutines.
type respellings [1 << 13]atomic.Pointer[respelling]

type respelling struct {
	of   spelling
	list []respelt
}

// respeltOf lists what the usual slips make of a cell, which nobody may change; false
// where they go by more than one number.
func (f *fitted) respeltOf(buf *viewBuffers, r *row, c *cell, decimals int) ([]respelt, bool) {
	of, plain := f.spellingOf(r, c, decimals)
	if !plain {
		return nil, false
	}
	at := &f.respellings[digest.Spread(uint64(of.words))%uint64(len(f.respellings))]
	known := at.Load()
	if known == nil || known.of != of {
		buf.changes = f.changesIn(buf.changes, r, c, decimals)
		known = &respelling{of: of}
		for i := range buf.changes {
			known.list = append(known.list, respelt{math.Log(buf.changes[i].value), math.Log(buf.changes[i].prior)})
		}
		at.Store(known)
	}
	return known.list, true
}

// spellingOf returns what the slips of a cell depend on; false where they go by more
// than one number.
func (f *fitted) spellingOf(r *row, c *cell, decimals int) (spelling, bool) {
	if c.measurement == bodyMass {
		return spelling{}, false
	}
	first := c.first()
	t := f.takingOf(first, hash(r.observer))
	if t == nil {
		return spelling{}, false
	}
	return spelling{wordsOf(first), first.Number, first.Decimals, decimals, first.Comma, &t.step}, true
}

func wordsOf(r *record.Reading) digest.Digest {
	d := digest.Start
	for _, text := range [...]string{r.Verbatim, r.Text, r.WrittenUnit, r.Unit} {
		d = d.Text(text).Byte(0)
	}
	return d
}
