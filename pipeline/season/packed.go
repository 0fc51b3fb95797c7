package season

import "encoding/binary"

// packed is what was kept of a group, as whole numbers.
type packed []byte

// appendValues packs values in ascending order: how many there are, and each as what
// it is more than the one before, with its number.
func appendValues(b []byte, values []valued) []byte {
	b = binary.AppendUvarint(b, uint64(len(values)))
	last := value(0)
	for _, v := range values {
		b = binary.AppendUvarint(binary.AppendVarint(b, int64(v.value-last)), uint64(v.n))
		last = v.value
	}
	return b
}

// values reads the values that come next, in memory that is there.
func (p *packed) values(in []valued) []valued {
	last := value(0)
	for range p.count() {
		more, n := binary.Varint(*p)
		*p = (*p)[n:]
		last += value(more)
		in = append(in, valued{last, p.count()})
	}
	return in
}

// count reads the number that comes next.
func (p *packed) count() int {
	v, n := binary.Uvarint(*p)
	*p = (*p)[n:]
	return int(v)
}
