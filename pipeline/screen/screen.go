package screen

import (
	"runtime"
	"slices"
	"sync"

	"spadefoot/pipeline/record"
)

// Screen gives every finding on the captures of a survey that is held as a
// whole: causes beyond the single capture, each capture judged against the
// summary of all, habits, captures entered twice, and what became of marks.
// The captures may come in any order; the findings are in the order of their
// addresses. It uses all cores. A survey that is too large to be held is
// handed over part by part instead: see Screening, Doubles and Marks.
func Screen(captures []*record.Capture, limits []Limit, s Settings) []record.Finding {
	captures = inOrder(captures)
	x := NewScreening(Summarise(captures, s), limits, s)
	all := x.whole(captures)
	all = append(all, duplicates(captures)...)
	all = append(all, recaptures(captures, x.Summary(), limits, s)...)
	all = append(all, x.End()...)
	record.SortFindings(all)
	return all
}

// duplicates gives the captures that were entered twice. Nothing is written to
// files, so that nothing can fail.
func duplicates(captures []*record.Capture) []record.Finding {
	d := NewDoubles("")
	for i, c := range captures {
		_ = d.Add(i, c)
	}
	pairs, _ := d.Pairs()
	var findings []record.Finding
	for _, p := range pairs {
		if f, ok := d.Finding(captures[p[0]], captures[p[1]]); ok {
			findings = append(findings, f)
		}
	}
	return findings
}

// recaptures gives what is doubtful in the story of each mark.
func recaptures(captures []*record.Capture, sum *Summary, limits []Limit, s Settings) []record.Finding {
	m := NewMarks("")
	for i, c := range captures {
		_ = m.Add(i, c)
	}
	pairs, _ := m.Pairs(sum, limits, s)
	var findings []record.Finding
	for _, p := range pairs {
		findings = append(findings, m.Follow(captures[p[0]], captures[p[1]])...)
	}
	return findings
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
