package screen

import (
	"strings"

	"spadefoot/pipeline/record"
)

// kept gives a string that may outlive its capture: those of a capture are cut
// from one large text of its part, which they would hold.
func kept(s string) string { return strings.Clone(s) }

// words keeps each of the few strings that come again and again once.
type words map[string]string

func (w words) keep(s string) string {
	if k, ok := w[s]; ok {
		return k
	}
	k := kept(s)
	w[k] = k
	return k
}

func (w words) address(a record.Address) record.Address {
	a.File, a.Sheet = w.keep(a.File), w.keep(a.Sheet)
	return a
}

// spot is a reading as a finding on many points at it: at the first of them.
type spot struct {
	capture  record.Address
	at       record.Address
	key      string
	verbatim string
}

func spotOf(c *record.Capture, r *record.Reading) spot {
	return spot{capture: c.Address(), at: r.From, key: c.Key, verbatim: r.Verbatim}
}

// keep gives the spot in strings of its own.
func (w words) keepSpot(s spot) spot {
	return spot{w.address(s.capture), w.address(s.at), kept(s.key), kept(s.verbatim)}
}

// fnv is FNV-1a of 64 bits.
func fnv(s string) uint64 {
	h := uint64(14695981039346656037)
	for i := range len(s) {
		h = (h ^ uint64(s[i])) * 1099511628211
	}
	return h
}

// hash is FNV-1a of 64 bits over some texts, with a mark between them.
func hash(texts ...string) uint64 {
	h := uint64(14695981039346656037)
	for _, s := range texts {
		for i := range len(s) {
			h = (h ^ uint64(s[i])) * 1099511628211
		}
		h = (h ^ 0x1f) * 1099511628211
	}
	return h
}

// spread mixes a hash so that its high bits are as even as its low ones (the
// finaliser of SplitMix64: Steele, Lea and Flood 2014).
func spread(h uint64) uint64 {
	h = (h ^ h>>30) * 0xbf58476d1ce4e5b9
	h = (h ^ h>>27) * 0x94d049bb133111eb
	return h ^ h>>31
}
