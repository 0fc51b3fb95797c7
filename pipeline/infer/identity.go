package infer

import (
	"cmp"
	"encoding/binary"
	"encoding/hex"
	"spadefoot/pipeline/record/digest"
	"strings"
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
	if len(digits) != 36 {
		return 0, 0, false
	}
	var values [2]uint64
	n := 0
	for i := 0; i < len(digits); i++ {
		c := digits[i]
		if i == 8 || i == 13 || i == 18 || i == 23 {
			if c != '-' {
				return 0, 0, false
			}
			continue
		}
		switch {
		case c >= '0' && c <= '9':
			c -= '0'
		case c >= 'a' && c <= 'f':
			c -= 'a' - 10
		default:
			return 0, 0, false
		}
		values[n/16] = values[n/16]<<4 | uint64(c)
		n++
	}
	return values[0], values[1], true
}

func (a identity) String() string {
	if a.text != nil {
		return *a.text
	}
	var bytes [16]byte
	binary.BigEndian.PutUint64(bytes[:8], a.high)
	binary.BigEndian.PutUint64(bytes[8:], a.low)
	d := hex.EncodeToString(bytes[:])
	return d[:8] + "-" + d[8:12] + "-" + d[12:16] + "-" + d[16:20] + "-" + d[20:]
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
