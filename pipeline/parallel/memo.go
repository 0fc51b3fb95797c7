package parallel

import "sync"

// most bounds what a Memo remembers, so that a column in which no text comes
// twice does not fill the memory.
const most = 1 << 14

// Memo remembers what was worked out for a key. People write the same few
// names, days and places over and over; each is then read once. The zero value
// is ready, and may be used by many goroutines. What it gives is shared: nobody
// may change it.
type Memo[K comparable, V any] struct {
	mu    sync.RWMutex
	known map[K]V
}

// Get returns what work makes of the key, which must be the same every time.
func (m *Memo[K, V]) Get(key K, work func() V) V {
	m.mu.RLock()
	v, ok := m.known[key]
	m.mu.RUnlock()
	if ok {
		return v
	}
	v = work()
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.known == nil {
		m.known = map[K]V{}
	}
	if len(m.known) < most {
		m.known[key] = v
	}
	return v
}
