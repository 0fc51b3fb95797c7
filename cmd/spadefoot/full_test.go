//go:build linux

package main

import (
	"bytes"
	"context"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline/record/need"
)

// On a disk that fills up at whatever stage, a run says so, where, how much it
// had written and what to do, and leaves what was there before.
func TestAFullDisk(t *testing.T) {
	small, large := manyFrogs(t, 20, 1), manyFrogs(t, 1000, 2)
	failed := 0
	for i, kilobytes := range []int{300, 400, 600, 800, 1100, 1500, 1900, 2300, 2700, 3100} {
		if i%2 == 1 && need.Times(0, 1) == 0 {
			continue
		}
		disk := need.SmallDisk(t, kilobytes)
		out := filepath.Join(disk, "out")
		runTo(t, small, out, exitClean)
		earlier, _ := heldIn(t, out)
		before := free(t, disk)
		code, said := tryRun(large, out)
		if code == exitClean {
			continue
		}
		failed++
		for _, part := range []string{out, "the disk is full", " had written to " + out, "B were free when it began", "free some space", "earlier files are unchanged"} {
			if !strings.Contains(said, part) {
				t.Errorf("%d kB: the error does not say %q: %s", kilobytes, part, said)
			}
		}
		if got, left := heldIn(t, out); code != exitOutput || left || !maps.Equal(got, earlier) {
			t.Errorf("%d kB: exit code %d, %d files, the folder of the run is there: %v", kilobytes, code, len(got), left)
		}
		if after := free(t, disk); after != before {
			t.Errorf("%d kB: %s were free before, %s after", kilobytes, before, after)
		}
		t.Logf("%d kB: %s", kilobytes, said)
	}
	if failed < need.Times(4, 5) {
		t.Errorf("only %d disks were too small", failed)
	}
}

func tryRun(survey, out string) (code int, said string) {
	var stderr bytes.Buffer
	code = run(context.Background(), []string{"run", survey, "--out", out}, &bytes.Buffer{}, &stderr)
	return code, stderr.String()
}

func runTo(t *testing.T, survey, out string, want int) {
	t.Helper()
	if code, said := tryRun(survey, out); code != want {
		t.Fatalf("exit code %d: %s", code, said)
	}
}

// free is how much room a disk has, in kilobytes.
func free(t *testing.T, disk string) string {
	t.Helper()
	out, err := exec.Command("df", "-k", "--output=avail", disk).Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.TrimPrefix(strings.ReplaceAll(string(out), "\n", " "), " ")
}

// A limit on the size of files is told apart from a full disk.
func TestALimitOfFileSize(t *testing.T) {
	sh := need.Tool(t, "sh")
	survey, out := manyFrogs(t, 1000, 2), filepath.Join(t.TempDir(), "out")
	c := exec.Command(sh, "-c", `ulimit -f 100; exec "$0" "$@"`, os.Args[0], "run", survey, "--out", out)
	c.Env = append(os.Environ(), asProgram+"=1")
	said, _ := c.CombinedOutput()
	if code := c.ProcessState.ExitCode(); code != exitOutput || !strings.Contains(string(said), "would be larger than the system allows; at least ") {
		t.Errorf("exit code %d: %s", code, said)
	}
	if _, err := os.Stat(out); err == nil {
		t.Error("the output folder is there")
	}
}

// Where the system lets the program open no more files, it says so and what to
// do, and does not say that anything was moved.
func TestALimitOfOpenFiles(t *testing.T) {
	sh, failed := need.Tool(t, "sh"), 0
	for _, most := range []string{"9", "12", "15"} { // below, the runtime of Go itself does without
		out := filepath.Join(t.TempDir(), "out")
		c := exec.Command(sh, "-c", `exec 3>&- 4>&- 5>&- 6>&- 7>&- 8>&- 9>&-; ulimit -n "$1"; exec "$0" run "$2" --out "$3"`, os.Args[0], most, filepath.Join(need.Root(t), "testdata", "demo"), out)
		c.Env = append(os.Environ(), asProgram+"=1")
		text, _ := c.CombinedOutput()
		code, said := c.ProcessState.ExitCode(), string(text)
		if code == exitClean {
			continue
		}
		failed++
		if code != exitOutput || !strings.Contains(said, "reached the system's limit of open files; allow more (ulimit -n 1024)") ||
			strings.Contains(said, "too many open files") || strings.Contains(said, "a part of what was there before is in") {
			t.Errorf("%s files: exit code %d: %s", most, code, said)
		}
	}
	if failed == 0 {
		t.Error("no limit was too low")
	}
}

// Nor is it in silence that standard output has no room.
func TestAFullStandardOutput(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip(err)
	}
	defer full.Close()
	var stderr bytes.Buffer
	code := run(context.Background(), []string{"check", manyFrogs(t, 20, 1)}, full, &stderr)
	if code != exitOutput || !strings.Contains(stderr.String(), "/dev/full") {
		t.Errorf("exit code %d: %s", code, stderr.String())
	}
}
