package prove

import (
	"bytes"
	"hash/maphash"
)

// A memo holds so many texts of at most so many bytes.
const (
	memoSlots = 512
	memoText  = 120
)

var memoSeed = maphash.MakeSeed()

// memo remembers texts in which nothing was wrong: most columns say the same
// few things again and again. A text takes the place of an earlier one where
// there is no other.
type memo struct {
	last  []byte
	slots [][]byte
}

func (m *memo) has(text []byte) bool {
	if bytes.Equal(text, m.last) {
		return true
	}
	if m.slots == nil || len(text) > memoText {
		return false
	}
	return bytes.Equal(text, m.slots[maphash.Bytes(memoSeed, text)%memoSlots])
}

// learn remembers a text that is not empty.
func (m *memo) learn(text []byte) {
	if len(text) > memoText {
		return
	}
	m.last = append(m.last[:0], text...)
	if m.slots == nil {
		m.slots = make([][]byte, memoSlots)
	}
	slot := &m.slots[maphash.Bytes(memoSeed, text)%memoSlots]
	*slot = append((*slot)[:0], text...)
}
