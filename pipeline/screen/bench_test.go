package screen

import (
	"fmt"
	"testing"
)

func BenchmarkScreen(b *testing.B) {
	for _, n := range []int{500, 5000} {
		captures := simulate(n, 3)
		plant(captures, n/100, 4)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				Screen(captures, nil, Defaults())
			}
		})
	}
}
