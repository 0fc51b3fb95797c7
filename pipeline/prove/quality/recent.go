package quality

import "sync"

// recent remembers verdicts: the latest few thousand, so that a column in which
// no text comes twice does not fill the memory. It may be used by many
// goroutines; what it gives nobody may change.
type recent struct {
	mu       sync.RWMutex
	now, old map[string][]verdict
}

const (
	maxRecent  = 1 << 12 // of each half
	longestKey = 1 << 10 // what is longer than this hardly comes twice
)

func (m *recent) get(key []byte) ([]verdict, bool) {
	m.mu.RLock()
	found, ok := m.now[string(key)]
	if ok || len(m.old) == 0 {
		m.mu.RUnlock()
		return found, ok
	}
	found, ok = m.old[string(key)]
	m.mu.RUnlock()
	if ok {
		m.put(key, found)
	}
	return found, ok
}

func (m *recent) put(key []byte, found []verdict) {
	if len(key) > longestKey {
		return
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.now == nil {
		m.now = map[string][]verdict{}
	}
	if len(m.now) >= maxRecent {
		m.now, m.old = map[string][]verdict{}, m.now
	}
	m.now[string(key)] = found
}
