package main

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"
)

// A program that takes more than it may ends in order; one that takes much more
// ends at once. Both say so, with exit code 3.
func TestMoreMemoryThanAllowed(t *testing.T) {
	was := ceiling.Load()
	defer ceiling.Store(was)
	ceiling.Store(100 * megabyte)
	ctx, cancel := context.WithCancelCause(t.Context())
	defer cancel(nil)
	var said bytes.Buffer
	ended := 0
	above := giveUp(cancel, &said, func(code int) { ended = code })
	above(120 * megabyte)
	if ctx.Err() == nil || ended != 0 || said.Len() > 0 {
		t.Errorf("at 120 MB: %v, ended with %d: %s", ctx.Err(), ended, said.String())
	}
	err := stopped(ctx, ctx.Err())
	if code := exitCode(err); code != exitInput || !strings.Contains(err.Error(), "needs 120 MB, and 100 MB are allowed; allow more with --memory") {
		t.Errorf("exit code %d: %v", code, err)
	}
	above(160 * megabyte)
	if ended != exitInput || !strings.Contains(said.String(), "out of memory") {
		t.Errorf("at 160 MB: ended with %d: %s", ended, said.String())
	}
	if usual := usualCeiling(); usual < 64*megabyte {
		t.Errorf("the usual ceiling is %d", usual)
	}
}

func TestMemoryFlag(t *testing.T) {
	if code, _, said := ended(t, "version", "--memory", "3"); code != exitCall || !strings.Contains(said, "64 or more") {
		t.Errorf("exit code %d: %s", code, said)
	}
}

// A bound on the address space that the program cannot run within is told in
// words.
func TestTooFewAddresses(t *testing.T) {
	for bound, want := range map[uint64]string{0: "", 3000 * megabyte: "", minAddresses: "", 800 * megabyte: "limited to 800 MB (ulimit -v)"} {
		err := enoughAddresses(func() (uint64, error) { return bound, nil })
		if (err != nil) != (want != "") || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("%d: %v", bound, err)
		}
	}
}

// A program that was asked to end and does not is broken off.
func TestASlowStepIsBrokenOff(t *testing.T) {
	var said bytes.Buffer
	ended := make(chan int)
	endWithin(time.Millisecond, &said, func(code int) { ended <- code })
	if code := <-ended; code != exitStopped || !strings.Contains(said.String(), "was aborted; earlier output is intact") {
		t.Errorf("exit code %d: %s", code, said.String())
	}
}
