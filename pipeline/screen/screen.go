package screen

import (
	"runtime"
	"slices"
	"sync"

	"spadefoot/pipeline/record"
)

// Screen gives every finding on the captures of a survey: causes beyond the
// single capture, then each capture judged against the summary of all. The
// captures may come in any order; the findings are in the order of their
// addresses. It uses all cores.
func Screen(captures []*record.Capture, limits []Limit, s Settings) []record.Finding {
	captures = inOrder(captures)
	sum := Summarise(captures, s)
	f := sum.fit()
	work := make([]judgement, len(captures))
	rows := make([]*row, len(captures))
	eachAtOnce(len(captures), func(i int) {
		work[i] = judgement{f: f, sum: sum, row: rowOf(captures[i])}
		work[i].replicates()
		rows[i] = work[i].row
	})
	many := newSearch(f, sum, rows)
	many.claims()
	many.slides()
	if len(many.told) > 0 {
		f, sum = many.refit(s)
	}
	eachAtOnce(len(captures), func(i int) {
		work[i].told, work[i].f, work[i].sum = many.told, f, sum
		work[i].rest(limits)
	})
	all := append(many.findings, duplicates(captures)...)
	all = append(all, recaptures(captures, f, sum, limits)...)
	all = append(all, habits(captures, many)...)
	all = append(all, unscreened(captures, f, limits)...)
	for i := range work {
		all = append(all, work[i].findings...)
	}
	record.SortFindings(all)
	return all
}

// inOrder sorts captures by address, so that sums come out the same whatever
// the order they came in.
func inOrder(captures []*record.Capture) []*record.Capture {
	byAddress := func(a, b *record.Capture) int { return a.Address().Compare(b.Address()) }
	if slices.IsSortedFunc(captures, byAddress) {
		return captures // as they come from the sheets
	}
	sorted := slices.Clone(captures)
	slices.SortStableFunc(sorted, byAddress)
	return sorted
}

// eachAtOnce calls do for every index below n, on all cores.
func eachAtOnce(n int, do func(i int)) { eachOf(n, 64, do) }

// eachOf is eachAtOnce with so many indices handed out at a time.
func eachOf(n, chunk int, do func(i int)) {
	var next int
	var mu sync.Mutex
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), (n+chunk-1)/chunk) {
		wait.Go(func() {
			for {
				mu.Lock()
				from := next
				next += chunk
				mu.Unlock()
				if from >= n {
					return
				}
				for i := from; i < min(from+chunk, n); i++ {
					do(i)
				}
			}
		})
	}
	wait.Wait()
}
