package output

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// pending is a file under way. A plain one is written beside its name; where
// something else is at its path, open is that, and there is nothing to move.
type pending struct {
	path   string
	beside *BesideFile // nil until it is begun
	open   *os.File
}

// beginFile looks at what is at a path. A folder is an error.
func beginFile(path string) (*pending, error) {
	p := &pending{path: path}
	info, err := os.Stat(path)
	switch {
	case err != nil: // not there yet, or not to be seen: writing shows
		if _, err := os.Stat(filepath.Dir(path)); errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("there is no folder %s; make it first, or name another", filepath.Dir(path))
		}
		return p, nil
	case info.IsDir():
		return nil, errors.New("it is a folder; give the name of a file")
	}
	for _, standard := range []*os.File{os.Stdout, os.Stderr} {
		if same, err := standard.Stat(); err == nil && os.SameFile(info, same) {
			p.open = standard
			return p, nil
		}
	}
	if !info.Mode().IsRegular() {
		p.open, err = os.OpenFile(path, os.O_WRONLY, 0)
	}
	return p, err
}

// Plain reports whether nothing but a plain file is at a path, or nothing.
func Plain(path string) bool {
	info, err := os.Stat(path)
	return err != nil || info.Mode().IsRegular()
}

func (p *pending) through() bool { return p.open != nil }

func (p *pending) write(write func(io.Writer) error) error {
	if p.through() {
		return buffered(p.open, write)
	}
	f, err := CreateBeside(p.path, 0o666)
	if err != nil {
		return err
	}
	p.beside = f
	return errors.Join(buffered(f.File, write), f.End())
}

// commit moves a plain file into place.
func (p *pending) commit() error {
	if p.through() {
		return p.close()
	}
	return p.beside.Move()
}

// discard takes away what was written beside the name of a plain file.
func (p *pending) discard() {
	if p.through() {
		_ = p.close()
		return
	}
	if p.beside != nil {
		p.beside.Discard()
	}
}

func (p *pending) close() error {
	if p.open == os.Stdout || p.open == os.Stderr {
		return nil
	}
	return p.open.Close()
}
