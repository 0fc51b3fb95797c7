package plot

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
		var marks []Mark
		var all []string
		for i := range n {
			all = append(all, strconv.Itoa(i+1))
			m := Mark{X: draw.NormFloat64(), Y: draw.NormFloat64(), drawn: Note{Text: strconv.Itoa(i + 1)}}
			if i%50 == 3 {
				m.No = 1 + i%2*(Unshown-1)
			}
			marks = append(marks, m)
		}
		x, y := Axis{Lo: -4.5, Hi: 4.5}, Axis{Lo: -4.5, Hi: 4.5}
		got := thin(marks, &x, &y, 400, 0)
		flagged, plain := 0, 0
		var names []string
		for i, m := range got {
			if m.No != 0 {
				flagged++
			} else {
				plain++
			}
			names = append(names, m.drawn.Text)
			if i > 0 && slices.Index(all, got[i-1].drawn.Text) > slices.Index(all, m.drawn.Text) {
				t.Fatal("the order changed")
			}
		}
		if want := (n + 46) / 50; flagged != want || plain != min(n-want, 400) {
			t.Errorf("%d marks: kept %d flagged of %d and %d others", n, flagged, want, plain)
		}
		far := slices.MaxFunc(marks, func(a, b Mark) int { return cmp.Compare(math.Hypot(a.X, a.Y), math.Hypot(b.X, b.Y)) })
		if !slices.Contains(names, far.drawn.Text) {
			t.Errorf("%d marks: the farthest was dropped", n)
		}
		for i, m := range thin(marks, &x, &y, 400, 0) {
			if m.drawn.Text != names[i] {
				t.Fatal("not the same twice")
			}
		}
	}
}

// One slip does not squeeze the rest.
func TestWindow(t *testing.T) {
	marks := []Mark{{X: 50}, {X: 60}, {X: 70}, {X: 700, No: 3}, {X: 75, No: 4}}
	lo, hi := Window(marks, func(m *Mark) float64 { return m.X }, false)
	if lo > 50 || lo < 45 || hi < 75 || hi > 80 {
		t.Errorf("from %g to %g", lo, hi)
	}
	if lo, hi := Window(nil, func(m *Mark) float64 { return m.X }, true); !(lo > 0) || !(hi > lo) {
		t.Errorf("nothing: from %g to %g", lo, hi)
	}
	if lo, hi := Window([]Mark{{X: 5}, {X: 5}}, func(m *Mark) float64 { return m.X }, true); !(lo > 0 && lo < 5) || !(hi > 5) {
		t.Errorf("one value: from %g to %g", lo, hi)
	}
}
