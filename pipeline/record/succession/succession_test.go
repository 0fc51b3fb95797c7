package succession

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// Keys have the numbers that a map gives them, in whatever order they come.
func TestKeys(t *testing.T) {
	draw := rand.New(rand.NewPCG(1, 2))
	var keys Keys[int]
	numbers := map[int]int{}
	for range 3000 {
		key := draw.IntN(1 + draw.IntN(60))
		n, known := numbers[key]
		if !known {
			n = -1
		}
		if got := keys.Find(key); got != n {
			t.Fatalf("%d: found %d, want %d", key, got, n)
		}
		if known {
			continue
		}
		numbers[key] = len(numbers)
		if got := keys.Add(key); got != numbers[key] {
			t.Fatalf("%d: added as %d, want %d", key, got, numbers[key])
		}
	}
	reader := keys.Reader()
	for i, key := range slices.Backward(keys.All) {
		if got := reader.Find(key); got != i {
			t.Errorf("%d: read as %d, want %d", key, got, i)
		}
		if got, there := keys.At(key); got != i || !there {
			t.Errorf("%d: at %d, want %d", key, got, i)
		}
	}
	if got := reader.Find(-1); got != -1 {
		t.Errorf("a key that never came: %d", got)
	}
}
