package screen

import (
	"math"
	"testing"
)

// A row weighs as much as all of its accounts together, whatever is passed over.
func TestWeightIsTheSumOfAllAccounts(t *testing.T) {
	captures := simulate(600, 5)
	plant(captures, 60, 4)
	sum := Summarise(captures, Defaults())
	f := sum.fit()
	nothingLeftOut := *f
	for k := range nothingLeftOut.cuts.distance {
		nothingLeftOut.cuts.distance[k].suspect = math.Inf(1)
	}
	var buf viewBuffers
	weighed := 0
	for _, c := range captures {
		r := rowOf(c)
		f.resolve(r)
		v := f.view(r)
		if v == nil {
			continue
		}
		list := nothingLeftOut.accountsOf(v, sum.usualDecimals, nil, &viewBuffers{})
		top, total := math.Inf(-1), 0.0
		for i := range list {
			top = max(top, list[i].score)
		}
		for i := range list {
			total += math.Exp(list[i].score - top)
		}
		if got, want := f.weight(v, sum.usualDecimals, &buf), top+math.Log(total); math.Abs(got-want) > 1e-12 {
			t.Fatalf("%v: %v, not %v", c.Address(), got, want)
		}
		weighed++
	}
	if weighed < 500 {
		t.Errorf("only %d views", weighed)
	}
}
