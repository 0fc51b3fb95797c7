package pipeline

import (
	"errors"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
)

// emptyFolder sees to it that a folder is new or empty, since what people have
// made of an earlier one is never written over.
func emptyFolder(out, why string) error {
	entries, err := os.ReadDir(out)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return &OutputError{out, err}
	case len(entries) > 0:
		return &OutputError{out, errors.New("the folder is not empty; " + why)}
	}
	return nil
}

// writeFolder makes a folder in one step: beside it first, then under its name.
// prove may look at it in between and refuse.
func writeFolder(out string, files map[string][]byte, prove func(folder string) error) error {
	parent := filepath.Dir(filepath.Clean(out))
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return &OutputError{out, err}
	}
	partial, err := os.MkdirTemp(parent, ".spadefoot-new-")
	if err != nil {
		return &OutputError{out, err}
	}
	defer os.RemoveAll(partial)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		path := filepath.Join(partial, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return &OutputError{out, err}
		}
		err := writeFile(path, func(w io.Writer) error {
			_, err := w.Write(files[name])
			return err
		})
		if err != nil {
			return &OutputError{out, err}
		}
	}
	if prove != nil {
		if err := prove(partial); err != nil {
			return err
		}
	}
	if err := os.Chmod(partial, 0o755); err != nil {
		return &OutputError{out, err}
	}
	_ = os.Remove(out) // an empty folder of that name
	if err := os.Rename(partial, out); err != nil {
		return &OutputError{out, err}
	}
	return nil
}
