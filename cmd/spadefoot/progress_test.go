package main

import (
	"strings"
	"testing"
	"time"
)

// A long stage says how much is left; the line is written over and ends before
// the next stage.
func TestProgressSaysWhatIsLeft(t *testing.T) {
	var out strings.Builder
	at := time.Date(2024, 6, 1, 12, 0, 0, 0, time.UTC)
	p := &progress{out: &out, now: func() time.Time { return at }}
	p.enter("screen")
	for i := range 100 {
		at = at.Add(time.Second)
		p.part(i+1, 100)
	}
	p.enter("infer")
	lines := strings.Split(out.String(), "\r")
	if lines[0] != "spadefoot: screen ...\n" || len(lines) != 101 {
		t.Fatalf("%d lines: %q", len(lines), out.String())
	}
	for i, want := range map[int]string{1: "  part 1 of 100", 5: "  part 5 of 100, about 95 s left", 50: "  part 50 of 100, about 50 s left"} {
		want = strings.Replace(want, "95 s", "2 min", 1)
		if got := strings.TrimRight(lines[i], " "); got != want {
			t.Errorf("line %d is %q, want %q", i, got, want)
		}
	}
	last, next, _ := strings.Cut(lines[100], "\n")
	if strings.TrimRight(last, " ") != "  part 100 of 100" || next != "spadefoot: infer ...\n" {
		t.Errorf("the end is %q", lines[100])
	}
}

// Short stages are reported with one line each.
func TestProgressOfAShortRun(t *testing.T) {
	var out strings.Builder
	at := time.Date(2024, 6, 1, 12, 0, 0, 0, time.UTC)
	p := &progress{out: &out, now: func() time.Time { return at }}
	p.enter("screen")
	p.part(1, 2)
	p.part(2, 2)
	if got := out.String(); got != "spadefoot: screen ...\n" {
		t.Errorf("%q", got)
	}
}
