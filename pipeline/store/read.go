package store

import (
	"encoding/binary"
	"errors"
	"math"
)

// errDamaged says that a block does not hold what was put there: the file was
// changed or cut while the run went on.
var errDamaged = errors.New("the run's own file of captures was changed or truncated during the run")

// reader reads a block. The texts that it gives are parts of one string, which
// they keep in memory.
type reader struct {
	s     string
	at    int
	known known
	err   error
}

func (r *reader) fail() {
	r.err = errDamaged
	r.at = len(r.s)
}

func (r *reader) byte() byte {
	if r.at >= len(r.s) {
		r.fail()
		return 0
	}
	r.at++
	return r.s[r.at-1]
}

func (r *reader) uint() uint64 {
	var v uint64
	for shift := 0; shift < 64; shift += 7 {
		if r.at >= len(r.s) {
			break
		}
		c := r.s[r.at]
		r.at++
		v |= uint64(c&0x7f) << shift
		if c < 0x80 {
			return v
		}
	}
	r.fail()
	return 0
}

func (r *reader) int() int {
	v := r.uint()
	return int(v>>1) ^ -int(v&1)
}

// count reads a number of things that take at least a byte each.
func (r *reader) count() int {
	n := r.uint()
	if n > uint64(len(r.s)) {
		r.fail()
		return 0
	}
	return int(n)
}

// list reads a number and as many things.
func list[T any](r *reader, one func() T) []T {
	n := r.count()
	if n == 0 {
		return nil
	}
	out := make([]T, n)
	for i := range out {
		out[i] = one()
	}
	return out
}

func (r *reader) float() float64 {
	if r.at+8 > len(r.s) {
		r.fail()
		return 0
	}
	var b [8]byte
	copy(b[:], r.s[r.at:])
	r.at += 8
	return math.Float64frombits(binary.LittleEndian.Uint64(b[:]))
}

func (r *reader) text() string { return r.called(r.uint()) }

// called returns a text by what it is called by.
func (r *reader) called(n uint64) string {
	switch {
	case n == 0:
		return r.plain()
	case n == 1:
		return ""
	case n-2 < uint64(len(r.known.words)):
		return r.known.words[n-2]
	}
	r.fail()
	return ""
}

func (r *reader) plain() string {
	n := r.uint()
	if n > uint64(len(r.s)-r.at) {
		r.fail()
		return ""
	}
	r.at += int(n)
	return r.s[r.at-int(n) : r.at]
}
