package report

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"
)

// Thinning keeps every mark of an entry, no more of the others than are asked
// for, the order, and the outline: the farthest mark on every side.
func TestThin(t *testing.T) {
	draw := rand.New(rand.NewPCG(3, 5))
	for _, n := range []int{10, 400, 401, 5000} {
		var marks []mark
		var all []string
		for i := range n {
			all = append(all, strconv.Itoa(i+1))
			m := mark{x: draw.NormFloat64(), y: draw.NormFloat64(), drawn: note{text: strconv.Itoa(i + 1)}}
			if i%50 == 3 {
				m.no = 1 + i%2*(unshown-1)
			}
			marks = append(marks, m)
		}
		x, y := axis{lo: -4.5, hi: 4.5}, axis{lo: -4.5, hi: 4.5}
		got := thin(marks, &x, &y, 400, 0)
		flagged, plain := 0, 0
		var names []string
		for i, m := range got {
			if m.no != 0 {
				flagged++
			} else {
				plain++
			}
			names = append(names, m.drawn.text)
			if i > 0 && slices.Index(all, got[i-1].drawn.text) > slices.Index(all, m.drawn.text) {
				t.Fatal("the order changed")
			}
		}
		if want := (n + 46) / 50; flagged != want || plain != min(n-want, 400) {
			t.Errorf("%d marks: kept %d flagged of %d and %d others", n, flagged, want, plain)
		}
		far := slices.MaxFunc(marks, func(a, b mark) int { return cmp.Compare(math.Hypot(a.x, a.y), math.Hypot(b.x, b.y)) })
		if !slices.Contains(names, far.drawn.text) {
			t.Errorf("%d marks: the farthest was dropped", n)
		}
		for i, m := range thin(marks, &x, &y, 400, 0) {
			if m.drawn.text != names[i] {
				t.Fatal("not the same twice")
			}
		}
	}
}

// One slip does not squeeze the rest.
func TestWindow(t *testing.T) {
	marks := []mark{{x: 50}, {x: 60}, {x: 70}, {x: 700, no: 3}, {x: 75, no: 4}}
	lo, hi := window(marks, func(m *mark) float64 { return m.x }, false)
	if lo > 50 || lo < 45 || hi < 75 || hi > 80 {
		t.Errorf("from %g to %g", lo, hi)
	}
	if lo, hi := window(nil, func(m *mark) float64 { return m.x }, true); !(lo > 0) || !(hi > lo) {
		t.Errorf("nothing: from %g to %g", lo, hi)
	}
	if lo, hi := window([]mark{{x: 5}, {x: 5}}, func(m *mark) float64 { return m.x }, true); !(lo > 0 && lo < 5) || !(hi > 5) {
		t.Errorf("one value: from %g to %g", lo, hi)
	}
}
