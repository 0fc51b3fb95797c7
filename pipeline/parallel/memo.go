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
