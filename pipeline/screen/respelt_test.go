package screen

import (
	"math"
	"testing"
)

// What is remembered of numbers weighs as their accounts one by one do, whoever wrote
// them and however often.
func TestRememberedSlipsWeighTheSame(t *testing.T) {
	captures := simulate(600, 5)
	sum := Summarise(captures, Defaults())
	f := sum.fit()
	var buf viewBuffers
	weighed := 0
	for range 2 {
		for _, c := range captures {
			r := rowOf(c)
			f.resolve(r)
			v := f.view(r)
			if v == nil {
				continue
			}
			list := f.accountsOf(v, sum.usualDecimals, nil, &viewBuffers{}, true)
			top, total := math.Inf(-1), 0.0
			for i := range list {
				top = max(top, list[i].score)
			}
			for i := range list {
				total += math.Exp(list[i].score - top)
			}
			if got, want := f.weight(v, sum.usualDecimals, &buf), top+math.Log(total); got != want {
				t.Fatalf("%v: %v, not %v", c.Address(), got, want)
			}
			weighed++
		}
	}
	if weighed < 1000 {
		t.Errorf("only %d views", weighed)
	}
}
