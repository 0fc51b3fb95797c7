package screen

import (
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// inOrder sorts captures by address, so that sums come out the same whatever
// the order they came in.
func inOrder(captures []*record.Capture) []*record.Capture {
	byAddress := func(a, b *record.Capture) int { return a.Address().Compare(b.Address()) }
	if slices.IsSortedFunc(captures, byAddress) {
		return captures // as they come from the sheets
	}
	sorted := slices.Clone(captures)
	sorting.StableFunc(sorted, byAddress)
	return sorted
}

// rowsAtOnce is the number of rows that a worker takes on at a time.
const rowsAtOnce = 128

// eachAtOnce calls do for every index below n, on all cores.
func eachAtOnce(n int, do func(i int)) {
	eachRange(n, func(from, to int) {
		for i := from; i < to; i++ {
			do(i)
		}
	})
}

// eachRange calls do for ranges of the indices below n, on all cores.
func eachRange(n int, do func(from, to int)) {
	eachOf((n+rowsAtOnce-1)/rowsAtOnce, func(i int) { do(i*rowsAtOnce, min((i+1)*rowsAtOnce, n)) })
}

// eachOf calls do for every index below n, each handed out by itself.
func eachOf(n int, do func(i int)) {
	workers := min(runtime.GOMAXPROCS(0), n)
	if workers <= 1 {
		for i := range n {
			do(i)
		}
		return
	}
	var next atomic.Int64
	var wait sync.WaitGroup
	for range workers {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	wait.Wait()
}
