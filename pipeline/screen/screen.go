package screen

import (
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

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
	all := x.Part(captures)
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

// rowsAtOnce is the number of rows that a worker takes on at a time.
const rowsAtOnce = 256

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
