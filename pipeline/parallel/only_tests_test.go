package parallel

// What only tests call.

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
