package main

import (
	"bytes"
	"context"
	"strings"
	"testing"
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
	if code := exitCode(err); code != exitInput || !strings.Contains(err.Error(), "takes 120 MB, and 100 MB are allowed; allow more with --memory") {
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
