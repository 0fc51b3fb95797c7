package prove

import (
	"fmt"
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
		if err := core.duplicates(func(_, at place) { again = append(again, at.line()) }); err != nil {
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
