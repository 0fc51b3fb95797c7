package prove

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/binary"
)

// key stands for an identifier in 16 bytes. A UUID of RFC 9562 stands for
// itself; as a URN it has a bit set that no such UUID has, since it is another
// text. Of every other text a digest is taken: 16 bytes of SHA-256, marked as
// neither. Two of 10 million identifiers are then taken for each other with a
// probability below 1e-23.
type key struct{ high, low uint64 }

func (k key) compare(o key) int {
	if c := cmp.Compare(k.high, o.high); c != 0 {
		return c
	}
	return cmp.Compare(k.low, o.low)
}

const (
	urnUUID = "urn:uuid:"
	uuidBit = 1 << 63 // set in the variant of RFC 9562, and in keys of UUIDs
	urnBit  = 1 << 62 // not set in that variant
)

func keyOf(id []byte) key {
	if k, ok := keyOfUUID(id); ok {
		return k
	}
	sum := sha256.Sum256(id)
	return key{binary.BigEndian.Uint64(sum[:]), binary.BigEndian.Uint64(sum[8:]) &^ uuidBit}
}

// keyOfUUID reads a UUID in lower case; one in capitals is another text.
func keyOfUUID(id []byte) (key, bool) {
	u, urn := bytes.CutPrefix(id, []byte(urnUUID))
	if len(u) != 36 || u[8] != '-' || u[13] != '-' || u[18] != '-' || u[23] != '-' {
		return key{}, false
	}
	var halves [2]uint64
	bad, n := byte(0), 0
	for i, c := range u {
		if i == 8 || i == 13 || i == 18 || i == 23 {
			continue
		}
		v := hexDigits[c]
		bad |= v
		halves[n>>4] = halves[n>>4]<<4 | uint64(v&15)
		n++
	}
	k := key{halves[0], halves[1]}
	good := bad < 16 && k.low&(uuidBit|urnBit) == uuidBit
	if urn {
		k.low |= urnBit
	}
	return k, good
}

// hexDigits returns the value of a digit of base 16, 255 for every other byte.
var hexDigits = func() (out [256]byte) {
	for i := range out {
		out[i] = 255
	}
	for i, c := range "0123456789abcdef" {
		out[c] = byte(i)
	}
	return out
}()
