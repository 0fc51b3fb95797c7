package store

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// In memory and from many runs in a file the order is that of a stable sort.
func TestSortedIsAStableSort(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	var want [][2]string
	for i := range 3000 {
		want = append(want, [2]string{fmt.Sprintf("key %d", r.IntN(700)), fmt.Sprintf("text\n%d", i)})
	}
	for _, bound := range []int{1, 4000, 1 << 30} {
		s := NewSorted(t.TempDir())
		s.bound = bound
		n := len(want)
		if bound == 1 {
			n = 60 // a run for each
		}
		for _, k := range want[:n] {
			if err := s.Add(k[0], k[1]); err != nil {
				t.Fatal(err)
			}
		}
		in := slices.Clone(want[:n])
		slices.SortStableFunc(in, func(a, b [2]string) int { return strings.Compare(a[0], b[0]) })
		for range 2 { // it may be gone through again
			var got [][2]string
			for k, err := range s.All() {
				if err != nil {
					t.Fatal(err)
				}
				got = append(got, k)
			}
			if !slices.Equal(got, in) {
				t.Errorf("with room for %d bytes: not in order", bound)
			}
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
}
