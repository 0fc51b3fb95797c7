package pipeline

import (
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
)

// exactFile is the one file that may hold places that are withheld. It stands
// outside the output folder, because that folder is what people publish.
type exactFile struct {
	path    string // as asked for
	partial string // written beside it once anything is withheld, renamed when all went well
	file    *os.File
	rows    *csv.Writer
	columns []string
}

// askExact checks where the exact places are to be written, before any work is
// done. It gives nil where nobody asked.
func (w *walk) askExact(path, out string) (*exactFile, error) {
	if path == "" {
		return nil, nil
	}
	if w.sensitive.file == "" {
		return nil, &CallError{Reason: "--exact-places: the survey names no table of sensitive taxa (tables.sensitive), so all places are in the archive"}
	}
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		return nil, &CallError{Reason: "--exact-places: " + path + " is no file; give the path of the file to write"}
	}
	inside, err := output.Within(path, out)
	if err != nil {
		return nil, &OutputError{Path: path, Err: err}
	}
	if inside {
		return nil, &CallError{Reason: fmt.Sprintf("--exact-places: %s lies in the output folder, which is there to be published; choose a place outside %s", path, out)}
	}
	folder := filepath.Dir(path)
	if info, err := os.Stat(folder); err != nil || !info.IsDir() {
		return nil, &CallError{Reason: "--exact-places: the folder " + folder + " is not there"}
	}
	return &exactFile{path: path}, nil
}

// begin begins the file under its working name, readable by its owner only, with
// columns for the terms that anything is withheld under.
func (e *exactFile) begin(names []string) (err error) {
	if e == nil {
		return nil
	}
	if e.file, err = output.CreateBeside(e.path, 0o600); err != nil {
		return &OutputError{Path: e.path, Err: err}
	}
	e.partial = e.file.Name()
	e.columns = slices.Clone(names)
	for _, always := range []string{"decimalLatitude", "decimalLongitude", "locality"} {
		if !slices.Contains(e.columns, always) {
			e.columns = append(e.columns, always)
		}
	}
	terms.Sort(e.columns)
	e.rows = csv.NewWriter(e.file)
	return e.line(append([]string{"capture", "occurrenceID", "captureAsWritten", "file", "sheet", "row", "scientificName"}, e.columns...))
}

// write writes what was withheld of a capture: the key and identifier that it is
// published under, and the key and the values that it had.
func (e *exactFile) write(c, was *record.Capture) error {
	if e == nil {
		return nil
	}
	line := []string{c.Key, c.ID, was.Key, c.File, c.Sheet, strconv.Itoa(c.Row), c.Get("scientificName")}
	for _, term := range e.columns {
		line = append(line, was.Get(term))
	}
	return e.line(line)
}

// line writes a row for spreadsheets, as captures.csv has them.
func (e *exactFile) line(cells []string) error {
	for i := range cells {
		cells[i] = lines.Defused(cells[i])
	}
	if err := e.rows.Write(cells); err != nil {
		return &OutputError{Path: e.path, Err: err}
	}
	return nil
}

// end ends the file.
func (e *exactFile) end() error {
	if e == nil {
		return nil
	}
	e.rows.Flush()
	err := errors.Join(e.rows.Error(), e.file.Sync(), e.file.Close())
	if e.file = nil; err != nil {
		return &OutputError{Path: e.path, Err: err}
	}
	return nil
}

func (e *exactFile) commit() error {
	if e == nil {
		return nil
	}
	if e.rows == nil { // nothing is withheld
		if err := errors.Join(e.begin(nil), e.end()); err != nil {
			return err
		}
	}
	if err := os.Rename(e.partial, e.path); err != nil {
		return &OutputError{Path: e.path, Err: err}
	}
	return nil
}

func (e *exactFile) discard() {
	if e != nil && e.partial != "" {
		if e.file != nil {
			e.file.Close()
		}
		_ = os.Remove(e.partial)
	}
}
