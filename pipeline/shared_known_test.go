package pipeline

import (
	"fmt"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/screen"
)

// Every part hears of the captures on both sides of it, from however many parts they
// come.
func TestEdgesGoToBothSides(t *testing.T) {
	for _, sizes := range [][]int{{40, 40, 40, 40, 40}, {40, 5, 5, 40, 3}, {1, 1, 1}} {
		o := &outline{parts: sizes}
		all := 0
		for _, n := range sizes {
			o.firsts, all = append(o.firsts, all), all+n
		}
		beside := make([]int, len(sizes))
		for part, n := range sizes {
			captures := make([]*record.Capture, n)
			for i := range captures {
				captures[i] = &record.Capture{Key: fmt.Sprint(o.first(part) + i)}
			}
			edges, err := o.edges(part, captures)
			if err != nil {
				t.Fatal(err)
			}
			for to, block := range edges {
				p := screenedPart{}
				own, err := encode(namedPart{Part: to, First: o.first(to)})
				if err != nil {
					t.Fatal(err)
				}
				if err := p.read([][]byte{block, own}); err != nil {
					t.Fatal(err)
				}
				near, err := p.beside()
				if err != nil {
					t.Fatal(err)
				}
				beside[to] += len(near.Before) + len(near.After)
			}
		}
		for part, n := range sizes {
			first := o.first(part)
			if want := min(first, screen.Neighbours) + min(all-first-n, screen.Neighbours); beside[part] != want {
				t.Errorf("%v: %d captures beside part %d, want %d", sizes, beside[part], part, want)
			}
		}
	}
}
