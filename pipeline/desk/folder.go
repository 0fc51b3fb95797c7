package desk

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path"

	"spadefoot/pipeline"
	"spadefoot/pipeline/output"
)

// Text is a file of the survey folder as it was read. A file that is not there
// has no bytes and no mark.
type Text struct {
	Name  string // within the folder, with forward slashes
	Bytes []byte
	Mark  string // of its content
}

// Read reads a file of the survey folder.
func (d *Desk) Read(name string) (Text, error) {
	b, err := d.root.ReadFile(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return Text{Name: name}, nil
	case err != nil:
		return Text{}, err
	}
	return Text{Name: name, Bytes: b, Mark: markOf(b)}, nil
}

func markOf(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:8])
}

// Write puts other bytes in the place of a file as it was read: beside it first,
// then under its name when all is on the disk. A file that is not as it was
// read stays as it is, and the error is a *pipeline.ChangedError.
func (d *Desk) Write(was Text, now []byte) (err error) {
	d.writing.Lock()
	defer d.writing.Unlock()
	is, err := d.Read(was.Name)
	if err != nil {
		return err
	}
	if is.Mark != was.Mark {
		return &pipeline.ChangedError{Name: was.Name}
	}
	if err := d.root.MkdirAll(path.Dir(was.Name), 0o755); err != nil {
		return err
	}
	partial := output.Beside(was.Name)
	defer func() {
		if err != nil {
			err = errors.Join(err, ignoreMissing(d.root.Remove(partial)))
		}
	}()
	if err := d.put(partial, now, d.modeOf(was.Name)); err != nil {
		return err
	}
	return d.root.Rename(partial, was.Name)
}

// modeOf is the mode of a file that is there, or the usual one.
func (d *Desk) modeOf(name string) fs.FileMode {
	if info, err := d.root.Stat(name); err == nil {
		return info.Mode().Perm()
	}
	return 0o644
}

func (d *Desk) put(name string, b []byte, mode fs.FileMode) error {
	f, err := d.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return err
	}
	_, err = f.Write(b)
	return errors.Join(err, f.Sync(), f.Close())
}

func ignoreMissing(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}
