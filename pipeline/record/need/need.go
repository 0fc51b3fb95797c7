// Package need finds what a test needs from outside the module: the published
// standards and open data beside the repository, and programs of the system. If
// something is missing, the test is skipped, or fails if the environment has
// SPADEFOOT_REQUIRE=all. Only tests import it.
package need

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"strings"
	"testing"
)

// Tests collect garbage as seldom as the program does (cmd/spadefoot/collect.go):
// a quarter of their processor time is spent on it otherwise.
func init() { debug.SetGCPercent(400) }

// Root returns the folder that holds go.mod.
func Root(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Fatal("no go.mod above the working folder")
		}
		dir = up
	}
}

// Shared returns the path of a file or folder below $SPADEFOOT_SHARED, or below
// ../shared seen from the module root.
func Shared(t testing.TB, name string) string {
	t.Helper()
	base := os.Getenv("SPADEFOOT_SHARED")
	if base == "" {
		base = filepath.Join(Root(t), "..", "shared")
	}
	path := filepath.Join(base, filepath.FromSlash(name))
	if _, err := os.Stat(path); err != nil {
		missing(t, "needs "+name+" in ../shared or $SPADEFOOT_SHARED")
	}
	return path
}

// Tool returns the path of a program of the system.
func Tool(t testing.TB, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		missing(t, "needs the program "+name)
	}
	return path
}

// SmallDisk returns a folder that is a disk of so many kilobytes, in memory.
func SmallDisk(t testing.TB, kilobytes int) string {
	t.Helper()
	mount := Tool(t, "mount")
	dir := t.TempDir()
	size := "size=" + strconv.Itoa(kilobytes) + "k"
	if out, err := exec.Command(mount, "-t", "tmpfs", "-o", size, "tmpfs", dir).CombinedOutput(); err != nil {
		missing(t, "needs the right to mount a disk: "+strings.TrimSpace(string(out)))
	}
	t.Cleanup(func() {
		if out, err := exec.Command("umount", dir).CombinedOutput(); err != nil {
			t.Errorf("umount %s: %v\n%s", dir, err, out)
		}
	})
	return dir
}

// Times returns how often a test tries something that chance makes: more in the
// fullest tests, with SPADEFOOT_REQUIRE=all.
func Times(usual, fullest int) int {
	if os.Getenv("SPADEFOOT_REQUIRE") == "all" {
		return fullest
	}
	return usual
}

// Fullest leaves a long test to the fullest ones, with SPADEFOOT_REQUIRE=all.
func Fullest(t testing.TB) {
	t.Helper()
	if os.Getenv("SPADEFOOT_REQUIRE") != "all" {
		t.Skip("it takes long and is run with SPADEFOOT_REQUIRE=all only")
	}
}

func missing(t testing.TB, why string) {
	t.Helper()
	if os.Getenv("SPADEFOOT_REQUIRE") == "all" {
		t.Fatal(why)
	}
	t.Skip(why)
}
