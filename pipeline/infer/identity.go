package infer

import (
	"cmp"
	"encoding/binary"
	"strings"

	"github.com/google/uuid"

	"spadefoot/pipeline/record/digest"
)

// identity is the ID of a capture in little memory: sixteen bytes where it is a
// UUID as this program writes them, else its text.
type identity struct {
	high, low uint64
	text      *string // nil for a UUID
}

func identityOf(id string) identity {
	if high, low, ok := readUUID(id); ok {
		return identity{high: high, low: low}
	}
	text := strings.Clone(id)
	return identity{text: &text}
}

// readUUID reads a UUID in small letters (RFC 9562); of such the numbers have
// the order of the texts.
func readUUID(digits string) (high, low uint64, ok bool) {
	if len(digits) != 36 || strings.ContainsAny(digits, "ABCDEF") {
		return 0, 0, false
	}
	u, err := uuid.Parse(digits)
	return binary.BigEndian.Uint64(u[:8]), binary.BigEndian.Uint64(u[8:]), err == nil
}

func (a identity) String() string {
	if a.text != nil {
		return *a.text
	}
	var u uuid.UUID
	binary.BigEndian.PutUint64(u[:8], a.high)
	binary.BigEndian.PutUint64(u[8:], a.low)
	return u.String()
}

// compare orders identities as their texts.
func (a identity) compare(b identity) int {
	if a.text == nil && b.text == nil {
		return cmp.Or(cmp.Compare(a.high, b.high), cmp.Compare(a.low, b.low))
	}
	return strings.Compare(a.String(), b.String())
}

// hash is the same for the same ID in every run.
func (a identity) hash() uint64 {
	if a.text == nil {
		return digest.Spread(a.high ^ digest.Spread(a.low))
	}
	return digest.Spread(uint64(digest.Start.Text(*a.text)))
}
