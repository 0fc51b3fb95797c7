package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"os"
	"path/filepath"
)

// inElement is the number of bytes of a body that the runner carries itself.
const inElement = 4 << 10

// A body in an element begins with one of these.
const (
	bodyHere    = iota // the body follows
	bodyFile           // the digest that its file is named by
	bodyVerdict        // a body follows that is a verdict on a part
	bodyLinks          // a body follows that has links of a part
	bodyList           // the digest of a file of framed blocks
)

// put returns what goes through the runner for a body: the body itself, or the name
// of a file that holds it. A file is named by its content, so that equal bodies share one.
func (j *job) put(body []byte) ([]byte, error) {
	if len(body) <= inElement {
		return append([]byte{bodyHere}, body...), nil
	}
	digest := sha256.Sum256(body)
	err := written(j.between(digest[:]), func(w io.Writer) error {
		_, err := w.Write(body)
		return err
	})
	return append([]byte{bodyFile}, digest[:]...), err
}

// fetched is the body that put was given.
func (j *job) fetched(element []byte) ([]byte, error) {
	if len(element) == 0 {
		return nil, errBlock
	}
	rest := element[1:]
	switch {
	case element[0] == bodyHere:
		return rest, nil
	case element[0] != bodyFile || len(rest) != sha256.Size:
		return nil, errBlock
	}
	return os.ReadFile(j.between(rest))
}

func (j *job) between(digest []byte) string {
	return filepath.Join(j.Between, hex.EncodeToString(digest))
}

// write makes a file of the outputs.
func (j *job) write(name string, write func(io.Writer) error) error {
	path := filepath.Join(j.Prepared, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	return written(path, write)
}

// written makes a file: under another name first, so that a bundle that is tried
// again, here or on another machine, leaves one whole file.
func written(path string, write func(io.Writer) error) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".*.tmp")
	if err != nil {
		return err
	}
	err = errors.Join(write(f), f.Chmod(0o644), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}

// stored is how many bodies stand in files, with the bytes of all and of the largest.
func (j *job) stored() (out blocks, err error) {
	entries, err := os.ReadDir(j.Between)
	for _, e := range entries {
		info, failed := e.Info()
		if failed != nil {
			return out, failed
		}
		out = blocks{out.Blocks + 1, out.Bytes + info.Size(), max(out.Largest, info.Size())}
	}
	return out, err
}
