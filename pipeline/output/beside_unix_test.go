//go:build unix && !aix && !solaris

package output

import (
	"crypto/rand"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// TestMain lets the test program write a file beside SPADEFOOT_BESIDE until it is
// killed.
func TestMain(m *testing.M) {
	if path := os.Getenv("SPADEFOOT_BESIDE"); path != "" {
		_ = WriteFiles([]NewFile{{path, func(w io.Writer) error {
			if _, err := w.Write(make([]byte, 1<<17)); err != nil {
				return err
			}
			time.Sleep(time.Minute)
			return nil
		}}})
		return
	}
	os.Exit(m.Run())
}

// besides are the files in a folder with names of files that are written beside
// their path.
func besides(t *testing.T, dir string) []string {
	t.Helper()
	list, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range list {
		if isBesideName(e.Name()) {
			out = append(out, e.Name())
		}
	}
	return out
}

// What a killed process left beside a file goes with the next run that writes
// there, or that takes the folder for its outputs; while the process lives it
// stays.
func TestWhatAKilledRunLeft(t *testing.T) {
	next := map[string]func(dir string) error{
		"a file": func(dir string) error { return WriteFiles([]NewFile{{filepath.Join(dir, "b.txt"), says("b")}}) },
		"outputs": func(dir string) error {
			o, err := Prepare(dir)
			if err == nil {
				o.Discard(&err)
			}
			return err
		},
	}
	for what, do := range next {
		t.Run(what, func(t *testing.T) {
			dir := t.TempDir()
			c := exec.Command(os.Args[0])
			c.Env = append(os.Environ(), "SPADEFOOT_BESIDE="+filepath.Join(dir, "a.txt"))
			if err := c.Start(); err != nil {
				t.Fatal(err)
			}
			begun := func() bool {
				now := besides(t, dir)
				if len(now) == 0 {
					return false
				}
				info, err := os.Stat(filepath.Join(dir, now[0]))
				return err == nil && info.Size() > 0
			}
			for end := time.Now().Add(30 * time.Second); !begun(); time.Sleep(time.Millisecond) {
				if time.Now().After(end) {
					t.Fatal("it never began")
				}
			}
			alive := besides(t, dir)
			if err := do(dir); err != nil {
				t.Fatal(err)
			}
			if now := besides(t, dir); !slices.Equal(now, alive) {
				t.Errorf("beside a process that writes %v there is now %v", alive, now)
			}
			_ = c.Process.Kill()
			_ = c.Wait()
			if now := besides(t, dir); !slices.Equal(now, alive) {
				t.Fatalf("%v, killed: %v", alive, now)
			}
			if err := do(dir); err != nil {
				t.Fatal(err)
			}
			if now := besides(t, dir); len(now) > 0 {
				t.Errorf("still there: %v", now)
			}
		})
	}
}

// What only looks like it stays: links, files that are under another name too,
// pipes, folders, and names that the program does not make.
func TestLookAlikesStay(t *testing.T) {
	dir := t.TempDir()
	mine := filepath.Join(t.TempDir(), "thesis.txt")
	lay(t, filepath.Dir(mine), map[string]string{"thesis.txt": "mine"})
	name := func() string { return filepath.Join(dir, besideName(rand.Text())) }
	link, twin, pipe, folder := name(), name(), name(), name()
	if err := os.Symlink(mine, link); err != nil {
		t.Fatal(err)
	}
	if err := os.Link(mine, twin); err != nil {
		t.Skip(err) // another file system
	}
	if err := unix.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	lay(t, folder, map[string]string{"a.txt": "mine"})
	lay(t, dir, map[string]string{".spadefoot-" + rand.Text(): "mine", ".spadefoot-" + rand.Text() + "-0123456789abcdef": "mine", ".spadefoot-": "mine"})
	before, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	sweep(anywhere{}, dir)
	after, err := os.ReadDir(dir)
	if err != nil || len(after) != len(before) || len(after) != 7 {
		t.Errorf("%v: of %v stand %v", err, before, after)
	}
	if text, err := os.ReadFile(mine); err != nil || string(text) != "mine" {
		t.Errorf("%q, %v", text, err)
	}
}
