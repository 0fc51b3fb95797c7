package pipeline

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/withhold"
)

// exactFile is the one file that may hold places that are withheld. It stands
// outside the output folder, because that folder is what people publish.
type exactFile struct {
	path    string // as asked for
	partial string // written beside it, renamed when all went well
}

// askExact checks where the exact places are to be written, before any work is
// done. It gives nil where nobody asked.
func (w *way) askExact(path, out string) (*exactFile, error) {
	if path == "" {
		return nil, nil
	}
	if w.sensitive.file == "" {
		return nil, &CallError{"--exact-places: the survey names no table of sensitive taxa (tables.sensitive), so all places are in the archive"}
	}
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		return nil, &CallError{"--exact-places: " + path + " is no file; give the path of the file to write"}
	}
	inside, err := output.Within(path, out)
	if err != nil {
		return nil, &OutputError{Path: path, Err: err}
	}
	if inside {
		return nil, &CallError{fmt.Sprintf("--exact-places: %s lies in the output folder, which is there to be published; choose a place outside %s", path, out)}
	}
	folder := filepath.Dir(path)
	if info, err := os.Stat(folder); err != nil || !info.IsDir() {
		return nil, &CallError{"--exact-places: the folder " + folder + " is not there"}
	}
	return &exactFile{path: path, partial: filepath.Join(folder, "."+filepath.Base(path)+".partial")}, nil
}

// prepare writes the file under its working name, readable by its owner only.
func (e *exactFile) prepare(r *withhold.Result) error {
	if e == nil {
		return nil
	}
	f, err := os.OpenFile(e.partial, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return &OutputError{Path: e.path, Err: err}
	}
	b := bufio.NewWriter(f)
	if err := errors.Join(writeExact(b, r), b.Flush(), f.Close()); err != nil {
		e.discard()
		return &OutputError{Path: e.path, Err: err}
	}
	return nil
}

func (e *exactFile) commit() error {
	if e == nil {
		return nil
	}
	if err := os.Rename(e.partial, e.path); err != nil {
		return &OutputError{Path: e.path, Err: err}
	}
	return nil
}

func (e *exactFile) discard() {
	if e != nil {
		_ = os.Remove(e.partial)
	}
}

// writeExact writes what was withheld: one row per hidden capture, with the
// key and identifier that it is published under, and the key it had.
func writeExact(out io.Writer, r *withhold.Result) error {
	var columns []string
	var hidden []*withhold.Hidden
	if r != nil {
		hidden = r.Hidden
	}
	for _, h := range hidden {
		for _, v := range h.Values {
			if !withhold.Keeps(v.Term) && !slices.Contains(columns, v.Term) {
				columns = append(columns, v.Term)
			}
		}
	}
	for _, always := range []string{"decimalLatitude", "decimalLongitude", "locality"} {
		if !slices.Contains(columns, always) {
			columns = append(columns, always)
		}
	}
	termOrder(columns)
	w := csv.NewWriter(out)
	if err := w.Write(append([]string{"capture", "occurrenceID", "captureAsWritten", "file", "sheet", "row", "scientificName"}, columns...)); err != nil {
		return err
	}
	for _, h := range hidden {
		c := h.Capture
		was := record.Capture{Values: h.Values}
		line := []string{c.Key, c.ID, h.Key, c.File, c.Sheet, strconv.Itoa(c.Row), c.Get("scientificName")}
		for _, term := range columns {
			line = append(line, was.Get(term))
		}
		if err := w.Write(line); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}
