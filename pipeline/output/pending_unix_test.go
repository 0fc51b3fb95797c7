//go:build unix

package output

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

func says(text string) func(io.Writer) error {
	return func(w io.Writer) error { _, err := io.WriteString(w, text); return err }
}

// A pipe with a name is written to; it is not replaced by a file.
func TestAPipeIsWrittenThrough(t *testing.T) {
	dir := t.TempDir()
	pipe, file := filepath.Join(dir, "pipe"), filepath.Join(dir, "file")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Skip(err)
	}
	got := make(chan string)
	go func() {
		text, _ := os.ReadFile(pipe)
		got <- string(text)
	}()
	if err := WriteFiles([]NewFile{{pipe, says("through")}, {file, says("beside")}}); err != nil {
		t.Fatal(err)
	}
	if text := <-got; text != "through" {
		t.Errorf("the pipe gave %q", text)
	}
	if info, err := os.Stat(pipe); err != nil || info.Mode()&os.ModeNamedPipe == 0 {
		t.Errorf("the pipe is none any more: %v, %v", info, err)
	}
	if text, _ := os.ReadFile(file); string(text) != "beside" {
		t.Errorf("the file holds %q", text)
	}
}

// A device is written to, and a failure of it leaves the plain files as they
// were.
func TestADeviceIsWrittenThrough(t *testing.T) {
	if err := WriteWhole(os.DevNull, says("nothing")); err != nil {
		t.Error(err)
	}
	if info, err := os.Stat(os.DevNull); err != nil || info.Mode()&os.ModeDevice == 0 {
		t.Fatalf("%s is no device any more: %v", os.DevNull, err)
	}
	if Plain("/dev/full") {
		t.Skip("no device that is always full")
	}
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, []byte("before"), 0o600); err != nil {
		t.Fatal(err)
	}
	err := WriteFiles([]NewFile{{"/dev/full", says("too much")}, {file, says("after")}})
	if !errors.As(err, new(*Error)) {
		t.Errorf("want an output error, got %v", err)
	}
	if text, _ := os.ReadFile(file); string(text) != "before" {
		t.Errorf("the file holds %q", text)
	}
	if left, _ := filepath.Glob(file + "*"); len(left) != 1 {
		t.Errorf("left over: %v", left)
	}
}

// Standard output that was led into a file stays the file that it is.
func TestStandardOutputIsWrittenThrough(t *testing.T) {
	path := filepath.Join(t.TempDir(), "out")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	was := os.Stdout
	os.Stdout = f
	defer func() { os.Stdout = was }()
	if err := WriteFiles([]NewFile{{path, says("one ")}}); err != nil {
		t.Fatal(err)
	}
	if _, err := io.WriteString(os.Stdout, "two"); err != nil {
		t.Fatal(err)
	}
	if text, _ := os.ReadFile(path); string(text) != "one two" {
		t.Errorf("the file holds %q", text)
	}
}
