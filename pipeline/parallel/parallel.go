// Package parallel lets several goroutines work on a sequence whose results are
// taken in order.
//
// The items are handed out in chunks. Each chunk is processed by one goroutine,
// as many at once as there are processors. The caller's goroutine takes its
// result once all earlier chunks have been taken. So what the taker writes is
// the same for any number of processors, as long as the work on a chunk depends
// on nothing else.
//
// At most twice as many chunks as processors are in memory, so a sequence may
// be longer than memory.
package parallel

import (
	"iter"
	"runtime"
	"slices"
	"sync"
)

// chunk is the number of items that are handed out at a time: enough that
// handing out costs nothing beside the work.
const chunk = 256

// InOrder gives chunks of items to work, on all processors, and the results to
// take, in the order of the items and one at a time. It stops at the first
// error of take, and returns it. Work must not keep the slice.
func InOrder[In, Out any](items iter.Seq[In], work func([]In) Out, take func(Out) error) error {
	return OneByOne(chunks(items), work, take)
}

// OneByOne is InOrder for items that are worth handing out one at a time.
func OneByOne[In, Out any](items iter.Seq[In], work func(In) Out, take func(Out) error) error {
	workers := runtime.GOMAXPROCS(0)
	type job struct {
		item In
		done chan Out
	}
	waiting, ordered := make(chan job, workers), make(chan job, 2*workers)
	stop := make(chan struct{})
	var wait sync.WaitGroup
	for range workers {
		wait.Go(func() {
			for j := range waiting {
				j.done <- work(j.item)
			}
		})
	}
	wait.Go(func() {
		defer close(ordered)
		defer close(waiting)
		for item := range items {
			j := job{item, make(chan Out, 1)}
			select {
			case ordered <- j:
				waiting <- j
			case <-stop:
				return
			}
		}
	})
	defer wait.Wait()
	defer close(stop)
	for j := range ordered {
		if err := take(<-j.done); err != nil {
			return err
		}
	}
	return nil
}

// chunks cuts a sequence into slices.
func chunks[T any](items iter.Seq[T]) iter.Seq[[]T] {
	return func(yield func([]T) bool) {
		var next []T
		for item := range items {
			if next = append(next, item); len(next) == chunk {
				if !yield(next) {
					return
				}
				next = make([]T, 0, chunk)
			}
		}
		if len(next) > 0 {
			yield(slices.Clip(next))
		}
	}
}
