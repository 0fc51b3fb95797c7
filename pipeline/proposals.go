package pipeline

import (
	"bytes"
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
)

// ProposeOptions says what gets a proposal and where they are written.
type ProposeOptions struct {
	Out     string       // path of the file; the survey's table of remedies if empty
	Replace bool         // write over a file that is there
	Level   record.Level // findings at this level and above
}

// Proposed says what was written.
type Proposed struct {
	Path         string
	Kept, Wanted int // rows that were there, rows to be decided on
}

// Propose walks the stages up to the judgement and writes a table of remedies
// for a person to finish: the rows that the survey has, unchanged, and one for
// each finding on a cell that has none. None of the new rows has an action,
// so that nothing is done before a person decides. A file that is there is
// replaced only if the options say so, and then in one step.
func Propose(ctx context.Context, folder string, p ProposeOptions, o Options) (*Proposed, error) {
	o.proposing = true
	w, err := start(folder, o)
	if err != nil {
		return nil, err
	}
	out := p.Out
	if out == "" {
		name, _ := w.remediesFile()
		out = filepath.Join(folder, filepath.FromSlash(name))
	}
	if err := mayWrite(out, p.Replace); err != nil {
		return nil, err
	}
	if err := w.walk(ctx, judged); err != nil {
		return nil, err
	}
	record.SortFindings(w.findings)
	cells := remedy.NewCells(w.keyedGrids(), nil)
	fresh := remedy.Propose(w.findings, cells, remedy.Wish{Level: p.Level, Given: w.decided.given, Veil: w.sensitive.result.Veils})
	var text bytes.Buffer
	if err := remedy.Write(&text, append(w.decided.given, fresh...)); err != nil {
		return nil, err
	}
	err = output.WriteFiles([]output.NewFile{{Path: out, Write: func(to io.Writer) error {
		_, err := text.WriteTo(to)
		return err
	}}})
	if err != nil {
		return nil, err
	}
	return &Proposed{Path: out, Kept: len(w.decided.given), Wanted: len(fresh)}, nil
}

// keyedGrids are the tables with the keys that findings show.
func (w *way) keyedGrids() []remedy.Grid {
	var out []remedy.Grid
	for _, t := range w.laid {
		var captures []*record.Capture
		for _, c := range w.captures {
			if c.File == t.table.File && c.Sheet == t.table.Sheet && c.Table == t.table.Index {
				captures = append(captures, c)
			}
		}
		keys := keysOf(t.table, captures, nil)
		for i := range keys {
			keys[i] = keys[i][:min(1, len(keys[i]))]
			if c := keyed(captures, t.table.Rows[i].Number); w.sensitive.result.Renamed(c) || c != nil && placeholder(c) {
				keys[i] = nil // a remedy is matched with the key as it was written
			}
		}
		out = append(out, remedy.Grid{Table: t.table, Keys: keys})
	}
	return out
}

// keyed is the capture of a row, nil if there is none.
func keyed(captures []*record.Capture, row int) *record.Capture {
	var last *record.Capture
	for _, c := range captures {
		if c.Row > row {
			break
		}
		last = c
	}
	return last
}

func mayWrite(path string, replace bool) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return &OutputError{Path: path, Err: err}
	case info.IsDir():
		return &CallError{path + " is a folder; give the file to write"}
	case !replace:
		return &CallError{path + " is there already; give another file with --out, or --replace to write it anew (its rows are kept)"}
	}
	return nil
}
