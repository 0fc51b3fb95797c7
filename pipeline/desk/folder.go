package desk

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
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
func (d *Desk) Write(was Text, now []byte) error {
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
	f, err := output.CreateBesideIn(d.root, was.Name, d.modeOf(was.Name))
	if err != nil {
		return err
	}
	if _, err = f.Write(now); err == nil {
		err = f.End()
	}
	if err == nil {
		err = f.Move()
	}
	if err != nil {
		f.Discard()
	}
	return err
}

// modeOf is the mode of a file that is there, or the usual one.
func (d *Desk) modeOf(name string) fs.FileMode {
	if info, err := d.root.Stat(name); err == nil {
		return info.Mode().Perm()
	}
	return 0o644
}

func ignoreMissing(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}
