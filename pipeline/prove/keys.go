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
	digits, urn := bytes.CutPrefix(id, []byte(urnUUID))
	if len(digits) != 36 || digits[8] != '-' || digits[13] != '-' || digits[18] != '-' || digits[23] != '-' {
		return key{}, false
	}
	var k key
	all := uint8(0)
	for _, group := range [...][]byte{digits[:8], digits[9:13], digits[14:18], digits[19:23], digits[24:]} {
		for _, b := range group {
			digit := hexadecimal[b]
			all |= digit
			k.high, k.low = k.high<<4|k.low>>60, k.low<<4|uint64(digit)
		}
	}
	good := all != noDigit && k.low&(uuidBit|urnBit) == uuidBit
	if urn {
		k.low |= urnBit
	}
	return k, good
}

// hexadecimal gives what a digit in lower case stands for, and noDigit for other bytes.
var hexadecimal = func() (t [256]uint8) {
	for b := range t {
		t[b] = noDigit
	}
	for i, b := range []byte("0123456789abcdef") {
		t[b] = uint8(i)
	}
	return t
}()

const noDigit = 0xff
