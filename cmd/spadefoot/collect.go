package main

import (
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
)

// While little is in memory, garbage is collected seldom: a season is then done
// in three quarters of the processor time, for some 50 MB. Beyond smallHeap the
// usual rule holds, since there memory is dearer than time.
const (
	smallHeap   = 32 << 20 // bytes that live
	seldom      = 400      // per cent of what lives that may be added before collecting
	usualGrowth = 100
)

// collectSeldom sets that rule, unless the caller has one in GOGC.
func collectSeldom() {
	if os.Getenv("GOGC") != "" {
		return
	}
	debug.SetGCPercent(seldom)
	afterCollection()
}

// afterCollection looks at the heap each time that garbage was collected, which
// is when an object that nobody holds is cleaned up.
func afterCollection() {
	witness := new([64]byte)
	runtime.AddCleanup(witness, func(struct{}) {
		live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
		metrics.Read(live)
		if live[0].Value.Kind() != metrics.KindUint64 || live[0].Value.Uint64() > smallHeap {
			debug.SetGCPercent(usualGrowth)
			return
		}
		afterCollection()
	}, struct{}{})
}
