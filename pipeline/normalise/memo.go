package normalise

import (
	"maps"
	"sync"
	"sync/atomic"
)

// memo remembers pointers to what was worked out for a key. People write the same few
// names, days and places over and over; each is then read once. What most
// lookups find stands in a map that nobody writes to any more, so that workers do
// not wait for each other. It is used by many goroutines; what it gives is
// shared, and nobody may change it. A key must not be cut from the text of a
// chunk, which it would keep in memory.
//
// The map is made anew when as many lookups have asked for others as are known.
type memo[K comparable, P any] struct {
	ready atomic.Pointer[map[K]P]
	full  atomic.Bool
	mu    sync.Mutex
	all   map[K]P
	asked int // of all, since the map was made
	most  int
}

// find returns what is known of the key, or nil.
func (m *memo[K, P]) find(key K) P {
	if ready := m.ready.Load(); ready != nil {
		if p, known := (*ready)[key]; known || m.full.Load() {
			return p
		}
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.asked++; m.asked > len(m.all) {
		m.copy()
	}
	return m.all[key]
}

// copy makes the map that nobody writes to.
func (m *memo[K, P]) copy() {
	copied := maps.Clone(m.all)
	m.ready.Store(&copied)
	m.full.Store(len(m.all) >= m.most)
	m.asked = 0
}

// keep remembers p, unless the memo is full.
func (m *memo[K, P]) keep(key K, p P) P {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.all == nil {
		m.all = map[K]P{}
	}
	if len(m.all) >= m.most {
		return p
	}
	if m.all[key] = p; len(m.all) == m.most {
		m.copy()
	}
	return p
}

func newMemo[K comparable, P any](most int) *memo[K, P] { return &memo[K, P]{most: most} }
