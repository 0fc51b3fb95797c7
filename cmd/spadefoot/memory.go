package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"runtime/debug"

	"github.com/KimMachineGun/automemlimit/memlimit"

	"spadefoot/pipeline"
)

const megabyte = 1 << 20

// memoryError says that a survey takes more memory than the program may.
type memoryError struct{ live int64 }

func (e *memoryError) Error() string {
	return fmt.Sprintf("out of memory: the run needs %d MB, and %d MB are allowed; allow more with --memory MB, or split the sheets over several folders",
		e.live/megabyte, ceiling.Load()/megabyte)
}

// usualCeiling is half of the memory that the machine has, or that this process
// may take of it.
func usualCeiling() int64 {
	most := uint64(math.MaxInt64)
	for _, of := range []memlimit.Provider{memlimit.FromSystem, memlimit.FromCgroup, ofProcess} {
		if n, err := of(); err == nil && n > 0 {
			most = min(most, n)
		}
	}
	if most == math.MaxInt64 {
		return math.MaxInt64
	}
	return int64(most / 2)
}

// minAddresses is the address space below which the program does not run: what
// its language sets aside when it begins, its text and its threads.
const minAddresses = 2000 * megabyte

// enoughAddresses is an error where the address space of the process is bounded
// below what the program needs: running on would end in a trace.
func enoughAddresses(bound func() (uint64, error)) error {
	n, err := bound()
	if err != nil || n == 0 || n >= minAddresses {
		return nil
	}
	return fmt.Errorf("out of memory: the address space is limited to %d MB (ulimit -v), and the program needs %d MB of it, most of which it never uses; remove that limit, and limit the memory with --memory MB", n/megabyte, minAddresses/megabyte)
}

// allow sets the ceiling that --memory gives, in megabytes.
func allow(megabytes int64) error {
	switch {
	case megabytes == 0:
		return nil
	case megabytes < 64:
		return &pipeline.CallError{Reason: fmt.Sprintf("--memory: found %d; give the memory limit in megabytes, 64 or more", megabytes)}
	}
	ceiling.Store(min(megabytes, math.MaxInt64/megabyte) * megabyte)
	debug.SetMemoryLimit(min(bounds[0], ceiling.Load()))
	return nil
}

// giveUp ends the program when it takes more than it may: in order where it
// walks between two steps soon, at once where what is in work keeps growing.
func giveUp(cancel context.CancelCauseFunc, stderr io.Writer, exit func(int)) func(live int64) {
	return func(live int64) {
		err := &memoryError{live}
		cancel(err)
		if live > ceiling.Load()/2*3 {
			fmt.Fprintln(stderr, "spadefoot: "+err.Error())
			exit(exitInput)
		}
	}
}

// stopped returns what ended a context in place of the error that it led to.
func stopped(ctx context.Context, err error) error {
	if memory, ok := context.Cause(ctx).(*memoryError); ok && err != nil {
		return memory
	}
	return err
}

// begun is the program's context and its end for want of memory.
func begun() (context.Context, func(live int64)) {
	ctx, cancel := context.WithCancelCause(context.Background())
	return ctx, giveUp(cancel, os.Stderr, os.Exit)
}
