package screen

import (
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
)

// words keeps one copy of each of the few strings that come again and again. A
// string that outlives its capture is copied: those of a capture are cut from one
// large text of its part, which they would hold in memory.
type words map[string]string

func (w words) keep(s string) string {
	if k, ok := w[s]; ok {
		return k
	}
	k := strings.Clone(s)
	w[k] = k
	return k
}

func (w words) address(a record.Address) record.Address {
	a.File, a.Sheet = w.keep(a.File), w.keep(a.Sheet)
	return a
}

// spot is a reading as a finding on many points at it: at the first of them.
type spot struct {
	Capture, At   record.Address
	Key, Verbatim string
}

func spotOf(c *record.Capture, r *record.Reading) spot {
	return spot{c.Address(), r.From(), c.Key, r.Verbatim}
}

// keepSpot returns the spot with strings of its own.
func (w words) keepSpot(s spot) spot {
	return spot{w.address(s.Capture), w.address(s.At), strings.Clone(s.Key), strings.Clone(s.Verbatim)}
}

// before reports whether a spot comes first.
func (s *spot) before(o *spot) bool { return s.Capture.Compare(o.Capture) < 0 }

// hash makes a number of some texts, with a mark between them.
func hash(texts ...string) uint64 {
	d := digest.Start
	for _, s := range texts {
		d = d.Text(s).Byte(0x1f)
	}
	return uint64(d)
}
