package output

import (
	"bufio"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// WriteFile writes a file through a buffer.
func WriteFile(path string, write func(io.Writer) error) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	b := bufio.NewWriterSize(f, 1<<16)
	return errors.Join(write(b), b.Flush(), f.Close())
}

// NewFile is a file to be written whole.
type NewFile struct {
	Path  string
	Write func(io.Writer) error
}

// WriteFiles writes all of the files or none: each is written beside its name
// first, and only when all are complete are they moved into place.
func WriteFiles(files []NewFile) error {
	var done []string
	discard := func() {
		for _, p := range done {
			_ = os.Remove(p)
		}
	}
	for _, f := range files {
		partial := f.Path + ".spadefoot-partial"
		if info, err := os.Stat(f.Path); err == nil && info.IsDir() {
			discard()
			return &Error{f.Path, errors.New("it is a folder; give the name of a file")}
		}
		done = append(done, partial)
		if err := WriteFile(partial, f.Write); err != nil {
			discard()
			return &Error{f.Path, err}
		}
	}
	for i, f := range files {
		if err := os.Rename(done[i], f.Path); err != nil {
			discard()
			return &Error{f.Path, err}
		}
	}
	return nil
}

// WriteWhole writes a file beside its name first, so that a failure leaves
// what was there.
func WriteWhole(path string, write func(io.Writer) error) error {
	partial := path + ".spadefoot-partial"
	err := WriteFile(partial, write)
	if err == nil {
		err = os.Rename(partial, path)
	}
	if err != nil {
		_ = os.Remove(partial)
		var pathError *fs.PathError
		var input *InputError
		if errors.As(err, &pathError) && !errors.As(err, &input) {
			return &Error{path, err}
		}
		return err
	}
	return nil
}

// Within reports whether a path lies in a folder, links followed.
func Within(path, folder string) (bool, error) {
	real := func(p string) (string, error) {
		p, err := filepath.Abs(p)
		if err != nil {
			return "", err
		}
		rest := ""
		for dir := p; ; dir = filepath.Dir(dir) { // the last parts need not be there yet
			if r, err := filepath.EvalSymlinks(dir); err == nil {
				return filepath.Join(r, rest), nil
			} else if !errors.Is(err, fs.ErrNotExist) || dir == filepath.Dir(dir) {
				return "", err
			}
			rest = filepath.Join(filepath.Base(dir), rest)
		}
	}
	a, err := real(path)
	if err != nil {
		return false, err
	}
	b, err := real(folder)
	if err != nil {
		return false, err
	}
	rel, err := filepath.Rel(b, a)
	return err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator)), nil
}
