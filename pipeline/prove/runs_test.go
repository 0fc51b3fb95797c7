package prove

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
)

// TestRuns compares the sorted runs, in memory and on disk, with a plain map.
func TestRuns(t *testing.T) {
	for _, bound := range []int{1 << 20, 7, 1} {
		dir := t.TempDir()
		core, ext := &runs{dir: dir, bound: bound}, &runs{dir: dir, bound: bound}
		seen := map[string]int{}
		var wantAgain, wantLost []int
		for i := range 300 {
			id := fmt.Sprint("id", i*7%290)
			if _, ok := seen[id]; ok {
				wantAgain = append(wantAgain, i)
			}
			seen[id] = i
			if err := core.add(keyOf([]byte(id)), placeOf(0, i)); err != nil {
				t.Fatal(err)
			}
		}
		for i := range 400 {
			id := fmt.Sprint("id", i)
			if _, ok := seen[id]; !ok {
				wantLost = append(wantLost, i)
			}
			if err := ext.add(keyOf([]byte(id)), placeOf(1, i)); err != nil {
				t.Fatal(err)
			}
		}
		var again, lost []int
		if err := core.duplicates(func(at, _ place) { again = append(again, at.line()) }); err != nil {
			t.Fatal(err)
		}
		if err := ext.orphans(core, func(at place) { lost = append(lost, at.line()) }); err != nil {
			t.Fatal(err)
		}
		slices.Sort(again)
		slices.Sort(lost)
		if !slices.Equal(again, wantAgain) || !slices.Equal(lost, wantLost) {
			t.Errorf("bound %d: %d duplicates, %d orphans, want %d, %d", bound, len(again), len(lost), len(wantAgain), len(wantLost))
		}
		core.close()
		ext.close()
		if left, _ := os.ReadDir(dir); len(left) > 0 {
			t.Errorf("bound %d: %d temporary files are left", bound, len(left))
		}
	}
}

// TestSortEntries holds the sorting against that of the standard library, with
// keys that are spread, that share their beginning, and that are equal.
func TestSortEntries(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for name, next := range map[string]func(i int) key{
		"spread":    func(int) key { return key{r.Uint64(), r.Uint64()} },
		"near":      func(int) key { return key{0xabcd << 40, r.Uint64N(300)} },
		"one byte":  func(int) key { return key{r.Uint64N(3) << 16, 1} },
		"equal":     func(int) key { return key{7, 7} },
		"backwards": func(i int) key { return key{uint64(-i), 0} },
	} {
		for _, n := range []int{0, 1, few, few + 1, 5000} {
			var list []entry
			for i := range n {
				list = append(list, entry{next(i), place(r.IntN(1000))})
			}
			want := slices.Clone(list)
			slices.SortFunc(want, entry.compare)
			if sortEntries(list); !slices.Equal(list, want) {
				t.Errorf("%s: %d entries are not in order", name, n)
			}
		}
	}
}

func BenchmarkSortEntries(b *testing.B) {
	r := rand.New(rand.NewPCG(3, 4))
	all := make([]entry, 1<<19)
	for i := range all {
		all[i] = entry{key{r.Uint64(), r.Uint64()}, place(i)}
	}
	list := make([]entry, len(all))
	b.SetBytes(int64(len(all) * entrySize))
	for b.Loop() {
		copy(list, all)
		sortEntries(list)
	}
}
