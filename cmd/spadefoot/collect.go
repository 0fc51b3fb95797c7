package main

import (
	"math"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"sync/atomic"

	"spadefoot/cmd/spadefoot/seldom"
)

// While little is in memory, garbage is collected seldom, as package seldom sets: a
// season then takes two thirds of the processor time, for some 80 MB. Beyond smallHeap
// the usual rule holds, since there memory costs more than time; and as long as the live
// heap is well below one of the bounds, as it is where a large survey is walked in parts,
// garbage does not take the program beyond that bound. Beyond the last bound there is
// only the ceiling.
const (
	smallHeap   = 32 << 20 // bytes that live
	usualGrowth = 150
	deskGrowth  = 40 // a desk has a walk in memory beside the one that is under way
)

// growth is what is added beyond smallHeap before collecting, in per cent.
var growth atomic.Int32

var bounds = []int64{330 << 20, 530 << 20} // bytes

// ceiling is what the program may take, in bytes.
var ceiling atomic.Int64

// collectSeldom sets what holds beyond, unless the caller has a rule of its own. above is
// called with the size of the live heap after each collection that found more than the
// ceiling.
func collectSeldom(above func(live int64)) {
	ceiling.Store(math.MaxInt64)
	if seldom.Asked() {
		return
	}
	ceiling.Store(usualCeiling())
	growth.CompareAndSwap(0, usualGrowth)
	debug.SetMemoryLimit(min(bounds[0], ceiling.Load()))
	afterCollection(bounds, above)
}

// afterCollection looks at the heap each time that garbage was collected, which
// is when an object that nobody holds is cleaned up. The first of the bounds is
// in force.
func afterCollection(bounds []int64, above func(live int64)) {
	witness := new([64]byte)
	runtime.AddCleanup(witness, func(struct{}) {
		live := int64(math.MaxInt64)
		sample := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
		if metrics.Read(sample); sample[0].Value.Kind() == metrics.KindUint64 {
			live = int64(sample[0].Value.Uint64())
		}
		if live > smallHeap {
			debug.SetGCPercent(int(growth.Load()))
		}
		for len(bounds) > 0 && live > bounds[0]*7/10 { // what lives needs more
			bounds = bounds[1:]
			debug.SetMemoryLimit(min(append(bounds, math.MaxInt64)[0], ceiling.Load()))
		}
		if live > ceiling.Load() {
			above(live)
		}
		afterCollection(bounds, above)
	}, struct{}{})
}
