package main

import (
	"math"
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
)

// While little is in memory, garbage is collected seldom: a season is then done
// in three quarters of the processor time, for some 50 MB. Beyond smallHeap the
// usual rule holds, since there memory is dearer than time; and as long as what
// lives is well below mostMemory, as it is where a long survey is walked in
// parts, garbage does not take the program beyond it.
const (
	smallHeap   = 32 << 20 // bytes that live
	seldom      = 400      // per cent of what lives that may be added before collecting
	usualGrowth = 100
	mostMemory  = 330 << 20
	wellBelow   = mostMemory * 7 / 10
)

// collectSeldom sets that rule, unless the caller has one in GOGC or GOMEMLIMIT.
func collectSeldom() {
	if os.Getenv("GOGC") != "" || os.Getenv("GOMEMLIMIT") != "" {
		return
	}
	debug.SetGCPercent(seldom)
	debug.SetMemoryLimit(mostMemory)
	afterCollection()
}

// afterCollection looks at the heap each time that garbage was collected, which
// is when an object that nobody holds is cleaned up.
func afterCollection() {
	witness := new([64]byte)
	runtime.AddCleanup(witness, func(struct{}) {
		live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
		metrics.Read(live)
		known := live[0].Value.Kind() == metrics.KindUint64
		if !known || live[0].Value.Uint64() > smallHeap {
			debug.SetGCPercent(usualGrowth)
		}
		if !known || live[0].Value.Uint64() > wellBelow {
			debug.SetMemoryLimit(math.MaxInt64) // what lives needs it
			return
		}
		afterCollection()
	}, struct{}{})
}
