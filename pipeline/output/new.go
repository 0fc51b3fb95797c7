package output

import (
	"errors"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
)

// MustBeEmpty sees to it that a folder is new or empty, since what people have
// made of an earlier one is never written over.
func MustBeEmpty(out, why string) error {
	entries, err := os.ReadDir(out)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return &Error{out, err}
	case len(entries) > 0:
		return &Error{out, errors.New("the folder is not empty; " + why)}
	}
	return nil
}

// NewFolder makes a folder in one step: beside it first, then under its name.
// prove may look at it in between and refuse.
func NewFolder(out string, files map[string][]byte, prove func(folder string) error) error {
	parent := filepath.Dir(filepath.Clean(out))
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return &Error{out, err}
	}
	partial, err := os.MkdirTemp(parent, ".spadefoot-new-")
	if err != nil {
		return &Error{out, err}
	}
	defer os.RemoveAll(partial)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		path := filepath.Join(partial, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return &Error{out, err}
		}
		err := WriteFile(path, func(w io.Writer) error {
			_, err := w.Write(files[name])
			return err
		})
		if err != nil {
			return &Error{out, err}
		}
	}
	if prove != nil {
		if err := prove(partial); err != nil {
			return err
		}
	}
	if err := os.Chmod(partial, 0o755); err != nil {
		return &Error{out, err}
	}
	_ = os.Remove(out) // an empty folder of that name
	if err := os.Rename(partial, out); err != nil {
		return &Error{out, err}
	}
	return nil
}
