package output

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"
)

// fullCause is the error that this system gives for a full disk.
func fullCause(t *testing.T) error {
	t.Helper()
	for cause, words := range fullCauses {
		if words == diskIsFull {
			return cause
		}
	}
	t.Fatal("no error says that the disk is full")
	return nil
}

func TestAFullDiskIsExplained(t *testing.T) {
	dir := t.TempDir()
	o, err := Prepare(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer o.Discard(&err)
	lay(t, o.Temp, map[string]string{"rows": strings.Repeat("x", 5000)})
	full := fullCause(t)
	inside := &fs.PathError{Op: "write", Path: filepath.Join(o.Partial, "findings.csv"), Err: full}
	outside := &fs.PathError{Op: "write", Path: filepath.Join(t.TempDir(), "exact.csv"), Err: full}
	for _, c := range []struct {
		name      string
		err       error
		free      int64
		at        string // path of the error
		says      []string
		explained bool
	}{
		{"a stage's own error", fmt.Errorf("spilling: %w", inside), 7e6, dir, []string{diskIsFull, "where 7.0 MB were free when it began", makeSpace, "unchanged"}, true},
		{"as an error of output", &Error{"findings.csv", inside}, 7e6, dir, []string{diskIsFull, "7.0 MB"}, true},
		{"without a path", fmt.Errorf("compressing: %w", full), 7e6, dir, []string{diskIsFull, "7.0 MB"}, true},
		{"free room is not known", inside, 0, dir, []string{diskIsFull, "at least 5 kB had been written to " + o.run}, true},
		{"another disk", &Error{outside.Path, outside}, 7e6, outside.Path, []string{diskIsFull + "; " + makeSpace, "unchanged"}, false},
		{"another error", &Error{dir, errors.New("the disk is on fire")}, 7e6, dir, []string{"on fire", "unchanged"}, false},
	} {
		o.free = c.free
		got := o.explain(c.err)
		var failed *Error
		var room *fullError
		if !errors.As(got, &failed) || failed.Path != c.at || errors.As(got, &room) != c.explained {
			t.Errorf("%s: %#v", c.name, got)
			continue
		}
		for _, words := range c.says {
			if !strings.Contains(got.Error(), words) {
				t.Errorf("%s: the error does not say %q: %v", c.name, words, got)
			}
		}
	}
	if err := errors.New("no error of files"); o.explain(err) != err || o.explain(nil) != nil {
		t.Error("an error that has nothing to do with room was changed")
	}
}

func TestSizeWords(t *testing.T) {
	for n, want := range map[int64]string{0: "0 bytes", 999: "999 bytes", 1500: "1 kB", 2_340_000: "2.3 MB", 12_340_000_000: "12.3 GB"} {
		if got := sizeWords(n); got != want {
			t.Errorf("%d: %q", n, got)
		}
	}
}
