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

// WriteFile writes a file that is not there yet in a folder of the program's own,
// through a buffer.
func WriteFile(path string, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	return errors.Join(buffered(f, write), f.Close())
}

func buffered(f *os.File, write func(io.Writer) error) error {
	b := bufio.NewWriterSize(f, 1<<16)
	return errors.Join(write(b), b.Flush())
}

// NewFile is a file to be written whole.
type NewFile struct {
	Path  string
	Write func(io.Writer) error
}

// WriteFiles writes all of the files or none: each is written beside its name
// first, and only when all are complete and on the disk are they moved into place. What is no
// plain file (a device, a pipe, standard output under its own name) stays
// what it is and is written to, last.
func WriteFiles(files []NewFile) error {
	var begun []*pending
	for _, f := range files {
		p, err := beginFile(f.Path)
		if err == nil {
			begun = append(begun, p)
			if !p.through() {
				err = p.write(f.Write)
			}
		}
		if err != nil {
			discardAll(begun)
			return &Error{f.Path, err}
		}
	}
	for i, p := range begun {
		if !p.through() {
			continue
		}
		if err := p.write(files[i].Write); err != nil {
			discardAll(begun)
			return &Error{p.path, err}
		}
	}
	for _, p := range begun {
		if err := p.commit(); err != nil {
			discardAll(begun)
			return &Error{p.path, err}
		}
	}
	for _, p := range begun {
		if err := keep(filepath.Dir(p.path)); err != nil && !p.through() {
			return &Error{p.path, err}
		}
	}
	return nil
}

func discardAll(begun []*pending) {
	for _, p := range begun {
		p.discard()
	}
}

// WriteWhole writes one file as WriteFiles does. An error of what is written
// stays what it is; one of the file is an *Error.
func WriteWhole(path string, write func(io.Writer) error) error {
	var inner error
	err := WriteFiles([]NewFile{{path, func(w io.Writer) error {
		inner = write(w)
		return inner
	}}})
	if inner != nil && !errors.As(inner, new(*fs.PathError)) || errors.As(inner, new(*InputError)) {
		return inner
	}
	return err
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

// Below reports whether a path was made from that of a folder. Names within a
// survey are relative to it, and never look so.
func Below(path, folder string) bool {
	folder = filepath.Clean(folder)
	return path == folder || strings.HasPrefix(path, folder+string(filepath.Separator))
}
