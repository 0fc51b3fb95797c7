// Package exact writes the one file that may hold withheld places.
package exact

import (
	"encoding/csv"
	"errors"
	"slices"
	"strconv"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
)

// File is the one file that may hold places that are withheld. It is kept
// outside the output folder, because that folder is what people publish.
type File struct {
	path    string             // as asked for
	file    *output.BesideFile // begun once anything is withheld, moved when all went well
	rows    *csv.Writer
	columns []string
}

// New returns a file that is to be at a path.
func New(path string) *File { return &File{path: path} }

// Begin begins the file under its working name, readable by its owner only, with
// columns for the terms that anything is withheld under.
func (e *File) Begin(names []string) (err error) {
	if e == nil {
		return nil
	}
	if e.file, err = output.CreateBeside(e.path, 0o600); err != nil {
		return &output.Error{Path: e.path, Err: err}
	}
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

// Write writes what was withheld of a capture: the key and identifier that it is
// published under, and the key and the values that it had.
func (e *File) Write(c, was *record.Capture) error {
	if e == nil {
		return nil
	}
	line := []string{c.Key, c.Identifier(), was.Key, c.File, c.Sheet, strconv.Itoa(c.Row), c.Get("scientificName")}
	for _, term := range e.columns {
		line = append(line, was.Get(term))
	}
	return e.line(line)
}

// line writes a row for spreadsheets, as captures.csv has them.
func (e *File) line(cells []string) error {
	for i := range cells {
		cells[i] = lines.Defused(cells[i])
	}
	if err := e.rows.Write(cells); err != nil {
		return &output.Error{Path: e.path, Err: err}
	}
	return nil
}

// End ends the file.
func (e *File) End() error {
	if e == nil {
		return nil
	}
	e.rows.Flush()
	if err := errors.Join(e.rows.Error(), e.file.End()); err != nil {
		return &output.Error{Path: e.path, Err: err}
	}
	return nil
}

// Commit puts the file in its place.
func (e *File) Commit() error {
	if e == nil {
		return nil
	}
	if e.rows == nil { // nothing is withheld
		if err := errors.Join(e.Begin(nil), e.End()); err != nil {
			return err
		}
	}
	if err := e.file.Move(); err != nil {
		return &output.Error{Path: e.path, Err: err}
	}
	return nil
}

// Discard takes away what was not put in place.
func (e *File) Discard() {
	if e != nil && e.file != nil {
		e.file.Discard()
	}
}
