package prove

import (
	"fmt"
	"math/rand/v2"
	"os"
	"testing"
)

func numbered(n int) key { return keyOf([]byte(fmt.Sprint("id", n))) }

// TestTrail walks beside a core in memory and on disk. What is found is in the
// core, and what follows its order is found.
func TestTrail(t *testing.T) {
	const rows = 3 * reach
	var inOrder, withGaps, mixed []int
	for i := range rows {
		inOrder = append(inOrder, i, i)
		if i%5 == 0 || i > reach && i < 2*reach-100 {
			continue
		}
		withGaps = append(withGaps, i)
	}
	mixed = rand.New(rand.NewPCG(1, 2)).Perm(2 * rows)
	for _, bound := range []int{10 * rows, 1000, 1} {
		dir := t.TempDir()
		tr := &trail{dir: dir, bound: bound}
		for i := range rows {
			if err := tr.add(numbered(i)); err != nil {
				t.Fatal(err)
			}
		}
		for name, c := range map[string]struct {
			ids []int
			all bool
		}{"in order": {inOrder, true}, "with gaps": {withGaps, true}, "mixed": {mixed, false}, "from the end": {[]int{rows - 1, 0, 1}, false}} {
			w, err := tr.walk()
			if err != nil {
				t.Fatal(err)
			}
			for _, id := range c.ids {
				found, err := w.follow(numbered(id))
				if err != nil || found && id >= rows || !found && c.all {
					t.Fatalf("bound %d, %s: %d is found: %v, %v", bound, name, id, found, err)
				}
			}
		}
		tr.close()
		if left, _ := os.ReadDir(dir); len(left) > 0 {
			t.Errorf("bound %d: %d temporary files are left", bound, len(left))
		}
	}
}

// TestKeyOf tells texts apart: a UUID stands for itself, and no other text for
// one.
func TestKeyOf(t *testing.T) {
	const id = "52cc5afe-997a-5c83-bb30-60c3c588799f"
	if got, want := keyOf([]byte(id)), (key{0x52cc5afe997a5c83, 0xbb3060c3c588799f}); got != want {
		t.Errorf("%s stands as %x, want %x", id, got, want)
	}
	seen := map[key]string{}
	for _, text := range []string{id, "urn:uuid:" + id, "URN:uuid:" + id, "urn:uuid:" + id + " ", "52CC5afe-997a-5c83-bb30-60c3c588799f", id + " ", "52cc5afe-997a-5c83-bb30-60c3c588799g",
		"52cc5afe-997a-5c83-eb30-60c3c588799f", "52cc5afe997a-5c83-bb30-60c3c588799f0", "a", ""} {
		k := keyOf([]byte(text))
		if other, twice := seen[k]; twice {
			t.Errorf("%q and %q stand as the same", text, other)
		}
		seen[k] = text
		if own := text == id; own != (k.low&uuidBit != 0 && k.low&urnBit == 0) {
			t.Errorf("%q stands as %x", text, k)
		}
	}
}
