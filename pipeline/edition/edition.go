// Package edition compares the output of one run with that of another. It keeps
// no texts of captures, only digests of them, so that large surveys can be
// compared.
package edition

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/report/findings"
)

// Edition is what one run left in its output folder, read back to be compared
// with that of another run.
type Edition struct {
	Dir      string
	inputs   map[string]string // SHA-256 by name; empty where it is not given
	withheld bool              // places are withheld in it
	captures captures
	findings []record.Finding // without what is not compared
	ids      []findings.Identity
}

// Read reads run.json, findings.json and captures.csv of an output
// folder. It is nil where the folder holds no run.
func Read(dir string) (*Edition, error) {
	e := &Edition{Dir: dir, inputs: map[string]string{}}
	switch err := e.readInputs(output.LastWhole(dir, "run.json")); {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, err
	}
	if err := e.readFindings(output.LastWhole(dir, "findings.json")); err != nil {
		return nil, err
	}
	names := e.keyless()
	var err error
	if e.captures, err = readCaptures(output.LastWhole(dir, capturesFile), names); err != nil {
		return nil, err
	}
	for i := range e.findings {
		if name := names[e.findings[i].Capture]; name != "" {
			e.findings[i].Capture = name
		}
	}
	e.ids = findings.Identify(e.findings, nil)
	return e, nil
}

// Size is the size in bytes of the table of captures that a run left in
// a folder; 0 where there is none.
func Size(dir string) int64 {
	info, err := os.Stat(output.LastWhole(dir, capturesFile))
	if err != nil {
		return 0
	}
	return info.Size()
}

func (e *Edition) readInputs(path string) error {
	var run struct {
		Inputs []report.InputNote `json:"inputs"`
		Counts struct {
			Withheld int `json:"withheld"`
		} `json:"counts"`
	}
	text, err := output.ReadPlain(path)
	if err != nil {
		return err
	}
	if err := json.Unmarshal(text, &run); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	for _, in := range run.Inputs {
		e.inputs[in.File] = in.SHA256
	}
	e.withheld = run.Counts.Withheld > 0
	return nil
}

// readFindings reads the findings one by one, since all of them together may be
// too long to hold.
func (e *Edition) readFindings(path string) error {
	f, err := output.OpenPlain(path)
	if err != nil {
		return err
	}
	defer f.Close()
	for found, err := range listed[record.Finding](json.NewDecoder(f), "findings") {
		if err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		found.Reason = findings.Short(found.Reason)
		found.Also, found.Runs, found.Figures, found.Reference = nil, nil, nil, ""
		e.findings = append(e.findings, found)
	}
	return nil
}

// keyless returns the names of captures in findings that are only their
// addresses, each with an empty name: rows may move.
func (e *Edition) keyless() map[string]string {
	names := map[string]string{}
	for i := range e.findings {
		if f := &e.findings[i]; f.Capture != "" && findings.NeedsNames(f) {
			names[f.Capture] = ""
		}
	}
	return names
}
