// Package edition compares the output of one run with that of another.
package edition

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strconv"
	"strings"

	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/report/findings"
)

// capturesFile is the table of captures of a run.
const capturesFile = "captures.csv"

// Edition is what one run left in its output folder, read back to be compared
// with that of another run.
type Edition struct {
	Dir      string
	files    map[string]string    // SHA-256 of the inputs by name; empty where it is not given
	withheld bool                 // places are withheld in it
	captures map[string]*captured // by occurrenceID
	findings []record.Finding
	ids      []findings.Identity
}

// captured is one capture of it.
type captured struct {
	file  string
	cells map[string]string // by heading; blank ones left out
}

// Read reads run.json, findings.json and captures.csv of an output
// folder. It is nil where the folder holds no run.
func Read(dir string) (*Edition, error) {
	var run struct {
		Inputs []report.InputNote `json:"inputs"`
		Counts struct {
			Withheld int `json:"withheld"`
		} `json:"counts"`
	}
	if err := decodeFile(output.LastWhole(dir, "run.json"), &run); err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, nil
		}
		return nil, err
	}
	var found struct {
		Findings []record.Finding `json:"findings"`
	}
	if err := decodeFile(output.LastWhole(dir, "findings.json"), &found); err != nil {
		return nil, err
	}
	e := &Edition{Dir: dir, files: map[string]string{}, captures: map[string]*captured{}, findings: found.Findings, withheld: run.Counts.Withheld > 0}
	for _, in := range run.Inputs {
		e.files[in.File] = in.SHA256
	}
	names, err := e.readCaptures(output.LastWhole(dir, capturesFile))
	if err != nil {
		return nil, err
	}
	e.ids = findings.Identify(withNames(e.findings, names), nil)
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

func decodeFile(path string, v any) error {
	b, err := output.ReadPlain(path)
	if err != nil {
		return err
	}
	if err := json.Unmarshal(b, v); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return nil
}

// readCaptures reads the table of captures. It returns the identifiers of those
// captures whose key is only their address.
func (e *Edition) readCaptures(path string) (map[string]string, error) {
	f, err := output.OpenPlain(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	r := csv.NewReader(f)
	heading, err := r.Read()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	at := map[string]int{}
	for i, h := range heading {
		at[h] = i
	}
	for _, need := range []string{"capture", "file", "sheet", "row", "occurrenceID"} {
		if _, ok := at[need]; !ok {
			return nil, fmt.Errorf("%s: it has no column %s", path, need)
		}
	}
	names := map[string]string{}
	for {
		line, err := r.Read()
		if err == io.EOF {
			return names, nil
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		for i := range line {
			line[i] = lines.Armed(line[i])
		}
		id := strings.TrimPrefix(line[at["occurrenceID"]], "urn:uuid:") // as it was written until 2026-11-29
		row, _ := strconv.Atoi(line[at["row"]])
		where := record.Address{File: line[at["file"]], Sheet: line[at["sheet"]], Row: row}
		if key := line[at["capture"]]; key == "("+where.String()+")" {
			names[key] = "(no key, " + id + ")"
		}
		c := &captured{file: where.File, cells: map[string]string{}}
		for i, h := range heading {
			if line[i] != "" && !aboutRun(h) {
				c.cells[h] = line[i]
			}
		}
		e.captures[id] = c
	}
}

// aboutRun reports whether a column says where a capture is written, or how it
// compares with the whole survey, rather than what was written of it.
func aboutRun(heading string) bool {
	switch heading {
	case "capture", "file", "sheet", "row", "errors", "warnings", "occurrenceID":
		return true
	}
	return strings.HasPrefix(heading, infer.ScaledMassIndex) || strings.HasPrefix(heading, infer.ConditionResidual)
}

// withNames gives captures without a key a name that stays when rows move.
func withNames(fs []record.Finding, names map[string]string) []record.Finding {
	out := append([]record.Finding(nil), fs...)
	for i := range out {
		if name, ok := names[out[i].Capture]; ok {
			out[i].Capture = name
		}
	}
	return out
}
