package parallel

import (
	"errors"
	"runtime"
	"slices"
	"testing"
)

func numbers(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// The results come in the order of the items, each once, on any number of
// processors.
func TestInOrder(t *testing.T) {
	for _, processors := range []int{1, 2, 7} {
		before := runtime.GOMAXPROCS(processors)
		for _, n := range []int{0, 1, chunk - 1, chunk, chunk + 1, 20*chunk + 3} {
			var got []int
			err := InOrder(slices.Values(numbers(n)), func(items []int) []int {
				out := make([]int, len(items))
				for i, x := range items {
					out[i] = 2 * x
				}
				return out
			}, func(out []int) error {
				got = append(got, out...)
				return nil
			})
			if err != nil || len(got) != n {
				t.Fatalf("%d processors, %d items: %d results, %v", processors, n, len(got), err)
			}
			for i, x := range got {
				if x != 2*i {
					t.Fatalf("%d processors, %d items: result %d is %d", processors, n, i, x)
				}
			}
		}
		runtime.GOMAXPROCS(before)
	}
}

func TestInOrderStopsAtAnError(t *testing.T) {
	full := errors.New("full")
	taken := 0
	err := InOrder(slices.Values(numbers(100*chunk)), func(items []int) int { return len(items) }, func(int) error {
		if taken++; taken == 3 {
			return full
		}
		return nil
	})
	if !errors.Is(err, full) || taken != 3 {
		t.Errorf("%v after %d chunks, want %v after 3", err, taken, full)
	}
}
