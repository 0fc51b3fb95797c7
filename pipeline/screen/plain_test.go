package screen

import (
	"math/rand/v2"
	"regexp"
	"testing"
)

// plainNumber finds what the expression finds that says it shortly.
func TestPlainNumber(t *testing.T) {
	short := regexp.MustCompile(`\d+(?:[.,]\d+)?|[.,]\d+`)
	draw := rand.New(rand.NewPCG(4, 5))
	for range 5000 {
		text := make([]byte, draw.IntN(8))
		for i := range text {
			text[i] = "0179.,, cm-"[draw.IntN(11)]
		}
		if got, want := plainNumber(string(text)), short.FindString(string(text)); got != want {
			t.Fatalf("%q: %q, want %q", text, got, want)
		}
	}
}
