package digest

import (
	"hash/fnv"
	"testing"
)

// The digest is that of the standard library.
func TestAgainstTheStandardLibrary(t *testing.T) {
	for _, s := range []string{"", "a", "foobar", "urn:uuid:00000000-0000-5000-8000-000000000000", "grenouille verte ü"} {
		h := fnv.New64a()
		h.Write([]byte(s + "\x1f"))
		if got, want := uint64(Start.Text(s).Byte(0x1f)), h.Sum64(); got != want {
			t.Errorf("%q: %x, want %x", s, got, want)
		}
	}
}

// Spreading loses nothing: no two numbers come to one.
func TestSpreadIsOneToOne(t *testing.T) {
	seen := map[uint64]uint64{}
	for i := range uint64(100_000) {
		h := Spread(i * 0x1000000001)
		if other, twice := seen[h]; twice {
			t.Fatalf("%d and %d come to %x", other, i, h)
		}
		seen[h] = i
	}
}
