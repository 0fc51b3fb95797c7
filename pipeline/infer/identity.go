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
	High, Low uint64
	Text      *string // nil for a UUID
}

func identityOf(id string) identity {
	if high, low, ok := readUUID(id); ok {
		return identity{High: high, Low: low}
	}
	text := strings.Clone(id)
	return identity{Text: &text}
}

// readUUID reads a UUID in small letters (RFC 9562); of such the numbers have
// the order of the texts.
func readUUID(digits string) (high, low uint64, ok bool) {
	if len(digits) != 36 || digits != strings.ToLower(digits) {
		return 0, 0, false
	}
	u, err := uuid.Parse(digits)
	return binary.BigEndian.Uint64(u[:8]), binary.BigEndian.Uint64(u[8:]), err == nil
}

func (a identity) String() string {
	if a.Text != nil {
		return *a.Text
	}
	var u uuid.UUID
	binary.BigEndian.PutUint64(u[:8], a.High)
	binary.BigEndian.PutUint64(u[8:], a.Low)
	return u.String()
}

// compare orders identities as their texts.
func (a identity) compare(b identity) int {
	if a.Text == nil && b.Text == nil {
		return cmp.Or(cmp.Compare(a.High, b.High), cmp.Compare(a.Low, b.Low))
	}
	return strings.Compare(a.String(), b.String())
}

// hash is the same for the same ID in every run.
func (a identity) hash() uint64 {
	if a.Text == nil {
		return digest.Spread(a.High ^ digest.Spread(a.Low))
	}
	return digest.Spread(uint64(digest.Start.Text(*a.Text)))
}
