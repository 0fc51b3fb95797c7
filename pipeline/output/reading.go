package output

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// Files are the files below a folder that may be read: plain ones that lie in
// it. A link that leads out of it, a pipe and a device are errors, and are not
// opened.
type Files string

// Open opens a file or a folder by a path with forward slashes.
func (folder Files) Open(name string) (fs.File, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	real, err := folder.resolve(name)
	if err != nil {
		return nil, &fs.PathError{Op: "open", Path: name, Err: err}
	}
	return os.Open(real)
}

// Stat says what a name stands for.
func (folder Files) Stat(name string) (fs.FileInfo, error) {
	real, err := folder.resolve(name)
	if err != nil {
		return nil, &fs.PathError{Op: "stat", Path: name, Err: err}
	}
	return os.Stat(real)
}

var (
	errLeadsOut = errors.New("the link leads out of the survey folder; put the file itself in the folder")
	errNotPlain = errors.New("this is not a regular file and is not read; save it as one")
)

// resolve follows the links of a name and refuses what is not to be read.
func (folder Files) resolve(name string) (string, error) {
	real, err := filepath.EvalSymlinks(filepath.Join(string(folder), filepath.FromSlash(name)))
	if err != nil {
		return "", bare(err)
	}
	home, err := filepath.EvalSymlinks(string(folder))
	if err != nil {
		return "", bare(err)
	}
	if rel, err := filepath.Rel(home, real); err != nil || !filepath.IsLocal(rel) {
		return "", errLeadsOut
	}
	info, err := os.Stat(real)
	switch {
	case err != nil:
		return "", bare(err)
	case !info.IsDir() && !info.Mode().IsRegular():
		return "", errNotPlain
	}
	return real, nil
}

// bare takes the path off an error.
func bare(err error) error {
	if p, ok := errors.AsType[*fs.PathError](err); ok {
		return p.Err
	}
	return err
}

// OpenPlain opens a plain file. What else is under the name is not opened,
// since a pipe would keep the program waiting.
func OpenPlain(path string) (*os.File, error) {
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() && !info.IsDir() {
		return nil, &fs.PathError{Op: "open", Path: path, Err: errNotPlain}
	}
	return os.Open(path)
}

// ReadPlain reads a plain file whole.
func ReadPlain(path string) ([]byte, error) {
	f, err := OpenPlain(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(f)
}
