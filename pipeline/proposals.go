package pipeline

import (
	"bytes"
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

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
func Propose(ctx context.Context, folder string, p ProposeOptions, o Options) (_ *Proposed, err error) {
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
	defer w.close(&err)
	var fresh []remedy.Remedy
	w.proposal = &p.Level
	stages := append(slices.Clone(judged), stage{"propose", func(w *way) (err error) {
		fresh, err = w.propose()
		return err
	}})
	if err := w.walk(ctx, o, stages); err != nil {
		return nil, err
	}
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

// propose gives a row for each cell of a finding that has none. A remedy is
// matched with the key as it was written, so that a capture whose key was
// withheld is called by its place.
func (w *way) propose() ([]remedy.Remedy, error) {
	wish := remedy.Wish{Level: *w.proposal, Veil: w.sensitive.result.Veils, Nameless: w.sensitive.result.Renamed}
	var cells []record.Address
	for f, err := range w.judged.All() {
		if err != nil {
			return nil, err
		}
		cells = append(cells, wish.Cells(&f)...)
	}
	search := w.newSearch(w.decided.given, cells)
	if err := w.search(search); err != nil {
		return nil, err
	}
	return remedy.Propose(w.judged.All(), search, wish)
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
	case !info.Mode().IsRegular(): // written to, not replaced
		return nil
	case !replace:
		return &CallError{path + " is there already; give another file with --out, or --update to add to it (its rows stay as they are)"}
	}
	return nil
}
