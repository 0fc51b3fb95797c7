package normalise

import (
	"maps"
	"sync"
	"sync/atomic"
)

// memo remembers what was worked out for a key. People write the same few
// names, days and places over and over; each is then read once. What most
// lookups find stands in a map that nobody writes to any more, so that workers do
// not wait for each other. It is used by many goroutines; what it gives is
// shared, and nobody may change it. A key must not be cut from the text of a
// chunk, which it would keep in memory.
//
// The map is made anew when as many lookups have asked for others as are known.
type memo[K comparable, V any] struct {
	ready atomic.Pointer[map[K]*V]
	full  atomic.Bool
	mu    sync.Mutex
	all   map[K]*V
	asked int // of all, since the map was made
	most  int
}

// find returns what is known of the key, or nil.
func (m *memo[K, V]) find(key K) *V {
	if ready := m.ready.Load(); ready != nil {
		if v := (*ready)[key]; v != nil || m.full.Load() {
			return v
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
func (m *memo[K, V]) copy() {
	copied := maps.Clone(m.all)
	m.ready.Store(&copied)
	m.full.Store(len(m.all) >= m.most)
	m.asked = 0
}

// keep remembers v, unless the memo is full.
func (m *memo[K, V]) keep(key K, v *V) *V {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.all == nil {
		m.all = map[K]*V{}
	}
	if len(m.all) >= m.most {
		return v
	}
	if m.all[key] = v; len(m.all) == m.most {
		m.copy()
	}
	return v
}

func newMemo[K comparable, V any](most int) *memo[K, V] { return &memo[K, V]{most: most} }
