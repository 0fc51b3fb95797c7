package output

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// BesideFile is a file that is written beside its path and then moved there. It is
// locked until then, by which others see that it is not one that a killed run left.
type BesideFile struct {
	*os.File
	in         within
	name, path string // in it
	closed     bool
}

// within are files below a folder, or any: *os.Root is one.
type within interface {
	OpenFile(name string, flag int, mode fs.FileMode) (*os.File, error)
	Lstat(name string) (fs.FileInfo, error)
	Rename(from, to string) error
	Remove(name string) error
}

type anywhere struct{}

func (anywhere) OpenFile(name string, flag int, mode fs.FileMode) (*os.File, error) {
	return os.OpenFile(name, flag, mode)
}
func (anywhere) Lstat(name string) (fs.FileInfo, error) { return os.Lstat(name) }
func (anywhere) Rename(from, to string) error           { return os.Rename(from, to) }
func (anywhere) Remove(name string) error               { return os.Remove(name) }

// CreateBeside makes a file to be written beside a path, under a name that nobody
// can foresee: what is there under any name is neither followed nor written
// over. What killed runs left beside the path goes. An error names the folder.
func CreateBeside(path string, mode fs.FileMode) (*BesideFile, error) {
	return createBeside(anywhere{}, path, mode)
}

// CreateBesideIn does what CreateBeside does below a folder.
func CreateBesideIn(root *os.Root, path string, mode fs.FileMode) (*BesideFile, error) {
	return createBeside(root, path, mode)
}

func createBeside(in within, path string, mode fs.FileMode) (*BesideFile, error) {
	dir := filepath.Dir(path)
	sweep(in, dir)
	for {
		name := filepath.Join(dir, besideName(rand.Text()))
		f, err := in.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
		if at, ok := errors.AsType[*fs.PathError](err); ok {
			at.Path = dir
		}
		if err != nil {
			return nil, err
		}
		b := &BesideFile{File: f, in: in, name: name, path: path}
		if !sweeps {
			return b, nil
		}
		// where files cannot be locked, none can be swept either
		if err := lock(f); err == nil && b.stands() || err != nil && !errors.Is(err, errHeld) {
			return b, nil
		}
		b.Discard() // another run found it before it was locked, and took it for left
	}
}

// stands reports whether the file is still the one of its name.
func (b *BesideFile) stands() bool {
	mine, err := b.Stat()
	there, lost := b.in.Lstat(b.name)
	return err == nil && lost == nil && os.SameFile(mine, there)
}

// End puts what was written on the disk. The file stays open, and locked, where
// an open one can be moved.
func (b *BesideFile) End() error {
	err := b.Sync()
	if !sweeps {
		err = errors.Join(err, b.close())
	}
	return err
}

// Move moves the file to its path.
func (b *BesideFile) Move() error {
	return errors.Join(b.in.Rename(b.name, b.path), b.close())
}

// Discard takes the file away.
func (b *BesideFile) Discard() {
	if !sweeps {
		_ = b.close() // some systems keep a file that is open
	}
	_ = b.in.Remove(b.name)
	_ = b.close()
}

func (b *BesideFile) close() error {
	if b.closed {
		return nil
	}
	b.closed = true
	return b.Close()
}

// The names of files that are written beside their paths.
const besidePrefix = ".spadefoot-"

// besideName is such a name; its second half follows from the first, by which a
// run knows it again.
func besideName(random string) string {
	sum := sha256.Sum256([]byte(besidePrefix + random))
	return besidePrefix + random + "-" + hex.EncodeToString(sum[:8])
}

func isBesideName(name string) bool {
	random, _, _ := strings.Cut(strings.TrimPrefix(name, besidePrefix), "-")
	return name == besideName(random)
}

// sweep takes out of a folder what killed runs left there under such names: plain
// files without another name that no process has locked. Whoever could plant one
// could as well have taken it away.
func sweep(in within, dir string) {
	if !sweeps {
		return
	}
	folder, err := in.OpenFile(dir, os.O_RDONLY, 0)
	if err != nil { // making the file says so
		return
	}
	defer folder.Close()
	list, _ := folder.ReadDir(-1)
	for _, e := range list {
		if name := filepath.Join(dir, e.Name()); e.Type().IsRegular() && isBesideName(e.Name()) && left(in, name) {
			_ = in.Remove(name)
		}
	}
}

// left reports whether a file is one of ours that no process writes any more.
func left(in within, name string) bool {
	f, err := in.OpenFile(name, os.O_WRONLY|noFollow|noWait, 0)
	if err != nil {
		return false
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil || !info.Mode().IsRegular() || hasOtherNames(info) || lock(f) != nil {
		return false
	}
	b := BesideFile{File: f, in: in, name: name}
	return b.stands()
}
