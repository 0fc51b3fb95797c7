package main

import (
	"os"
	"os/exec"
	"testing"
	"time"
)

func TestAttacks(t *testing.T) {
	long := 3 * time.Second
	if os.Getenv("SPADEFOOT_LONG") != "" {
		long = 2 * time.Minute
	}
	t.Chdir("../..")
	for name, begin := range kinds {
		t.Run(name, func(t *testing.T) {
			if _, err := exec.LookPath("strace"); name == "faults" && err != nil {
				t.Skip("needs strace")
			}
			a, err := attacked(begin, long, 1, t.TempDir())
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range a.failed {
				t.Error(f)
			}
			if a.tried == 0 {
				t.Error("nothing was tried")
			}
			t.Logf("%d attacks, exit codes %v", a.tried, a.codes)
		})
	}
}
