package prove

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/binary"

	"github.com/google/uuid"
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
	if len(digits) != 36 || bytes.ContainsAny(digits, "ABCDEF") {
		return key{}, false
	}
	u, err := uuid.ParseBytes(digits)
	k := key{binary.BigEndian.Uint64(u[:8]), binary.BigEndian.Uint64(u[8:])}
	good := err == nil && k.low&(uuidBit|urnBit) == uuidBit
	if urn {
		k.low |= urnBit
	}
	return k, good
}
