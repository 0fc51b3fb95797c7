package vocabulary

import (
	"math/rand/v2"
	"testing"
)

// The short way of ASCII gives what the long way gives.
func TestFoldASCII(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for range 20000 {
		text := make([]byte, random.IntN(12))
		for i := range text {
			text[i] = byte(random.IntN(128))
		}
		if got, want := foldASCII(string(text)), fold(string(text), bare); got != want {
			t.Fatalf("%q: %q, want %q", text, got, want)
		}
	}
}
