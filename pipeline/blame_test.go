package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline/record/need"
)

// An error of a file is one of the outputs where the run works in it, whoever
// was reading or writing, and one of an input elsewhere.
func TestWhoseAnErrorIs(t *testing.T) {
	fault := func(op, path string) error { return &os.PathError{Op: op, Path: path, Err: io.ErrUnexpectedEOF} }
	run := &walk{folder: "/data/pond", out: "out/.spadefoot-run/prepared", temp: "out/.spadefoot-run/temp"}
	check := &walk{folder: "/tmp/pond", temp: "/tmp/"}
	for _, c := range []struct {
		of    *walk
		err   error
		input bool
	}{
		{run, fault("read", "frogs.csv"), true},
		{run, fault("read", "/data/pond/frogs.csv"), true},
		{run, fault("open", "/data/lists/limits.csv"), true},
		{run, fault("open", "out/.spadefoot-run/prepared/darwin-core/meta.xml"), false},
		{run, fault("write", "out/.spadefoot-run/temp/rows-1.tmp"), false},
		{run, fault("read", "out/.spadefoot-run/temporary.csv"), true},
		{run, fmt.Errorf("proving: %w", fault("read", "frogs.csv")), true},
		{run, &InputError{File: "frogs.csv", Err: fault("read", "out/.spadefoot-run/temp/a")}, true},
		{run, &OutputError{Path: "out", Err: fault("read", "frogs.csv")}, false},
		{check, fault("read", "/tmp/pond/frogs.csv"), true},
		{check, fault("read", "/tmp/rows-1.tmp"), false},
		{check, fault("read", "/tmp"), false},
	} {
		err := c.of.blame(c.err)
		if input, output := errors.As(err, new(*InputError)), errors.As(err, new(*OutputError)); input != c.input || output == c.input {
			t.Errorf("%v: %T", c.err, err)
		}
	}
	if plain := errors.New("a fault"); run.blame(plain) != plain {
		t.Error("an error of no file is blamed on one")
	}
}

// What no run wrote in a folder of outputs is named, and stays.
func TestStrangersAmongOutputs(t *testing.T) {
	demo, out := filepath.Join(need.Root(t), "testdata", "demo"), t.TempDir()
	run := func() error {
		_, err := Run(context.Background(), demo, out, Options{})
		return err
	}
	if err := run(); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"darwin-core/notes.txt", "results/notes.txt", "results/sizes of 2019.csv", "results/sizes-tail length.csv", "results/plots"}[:need.Times(3, 5)] {
		path := filepath.Join(out, filepath.FromSlash(name))
		if err := os.WriteFile(path, []byte("mine"), 0o644); err != nil {
			t.Fatal(err)
		}
		err := run()
		if !errors.As(err, new(*OutputError)) || !strings.Contains(err.Error(), filepath.Base(path)) {
			t.Errorf("%s: %v", name, err)
		}
		if b, err := os.ReadFile(path); err != nil || string(b) != "mine" {
			t.Errorf("%s: %q %v", name, b, err)
		}
		os.Remove(path)
	}
	if err := run(); err != nil {
		t.Error(err)
	}
}
