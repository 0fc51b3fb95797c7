package pipeline

import (
	"bytes"
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"spadefoot/pipeline/output"
	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
)

// ProposeOptions says what gets a proposal and where they are written.
type ProposeOptions struct {
	Out     string       // path of the file, CSV or XLSX; the survey's table of remedies if empty
	Replace bool         // write over a file that is there
	Level   record.Level // findings at this level and above
}

// Proposed says what was written.
type Proposed struct {
	Path         string
	Beside       string // the same as a workbook, or as CSV; "" for none
	Kept, Wanted int    // rows that were there, rows to be decided on
}

// Proposals are the rows of a table of remedies: those that the survey has, as
// they are, and one for each finding that has none.
type Proposals struct {
	Rows  []remedy.Proposal
	Given int // of the rows, the first ones: those that the survey has
}

// Propose writes a table of remedies for a person to finish: the rows that the
// survey has, unchanged, and one for each finding that has none. None of the new
// rows has an action, so that nothing is done before a person decides. The table
// is written twice, as CSV and as a workbook beside it. A file that is there is
// replaced only if the options say so, and then in one step.
func Propose(ctx context.Context, folder string, p ProposeOptions, o Options) (*Proposed, error) {
	o.proposing = true
	w, err := start(folder, o)
	if err != nil {
		return nil, err
	}
	out := p.Out
	if out == "" {
		name, _ := w.remediesFiles()
		out = filepath.Join(folder, filepath.FromSlash(name))
	}
	second, err := otherForm(out)
	if err != nil {
		return nil, err
	}
	for _, one := range []string{out, second} {
		if err := output.Spare(one, folder, w.own()); err != nil {
			return nil, &CallError{Reason: "--out: " + err.Error()}
		}
		if err := mayWrite(one, p.Replace); err != nil {
			return nil, err
		}
	}
	all, err := w.proposals(ctx, o, p.Level)
	if err != nil {
		return nil, err
	}
	rows := make([]remedy.Remedy, len(all.Rows))
	for i := range all.Rows {
		rows[i] = all.Rows[i].Remedy
	}
	if err := w.guardRemedies(rows[all.Given:]); err != nil {
		return nil, err
	}
	if err := writeRemedies(rows, out, second); err != nil {
		return nil, err
	}
	return &Proposed{Path: out, Beside: second, Kept: all.Given, Wanted: len(rows) - all.Given}, nil
}

// Decisions are the rows of the tables of remedies of a survey.
func Decisions(folder string, o Options) ([]remedy.Remedy, error) {
	o.proposing = true
	w, err := start(folder, o)
	if err != nil {
		return nil, err
	}
	return w.decided.given, nil
}

// ChangedError says that a file is no longer as it was when it was read.
type ChangedError struct{ Name string }

func (e *ChangedError) Error() string {
	return e.Name + " was changed by somebody else meanwhile and was not overwritten. Look at it again, then decide again."
}

// Decide puts decisions into the table of remedies of a survey, as CSV and as a
// workbook: in place of the rows that they answer, or behind them. Each must be
// a whole decision. A table that somebody else writes meanwhile stays as it is, and
// the error is a *ChangedError.
func Decide(folder string, decisions []remedy.Remedy, o Options) error {
	o.proposing = true
	w, err := start(folder, o)
	if err != nil {
		return err
	}
	name, _ := w.remediesFiles()
	for i := range decisions {
		decisions[i].File, decisions[i].Line = name, i+1
		if err := decisions[i].Check(); err != nil {
			return &CallError{Reason: err.Error()}
		}
	}
	return w.rewriteRemedies(remedy.Revise(w.decided.given, decisions))
}

// TakeBack takes decisions out of the table of remedies of a survey, as CSV and as
// a workbook. Rows that are not there any more are passed over.
func TakeBack(folder string, decisions []remedy.Remedy, o Options) error {
	o.proposing = true
	w, err := start(folder, o)
	if err != nil {
		return err
	}
	kept := slices.DeleteFunc(slices.Clone(w.decided.given), func(r remedy.Remedy) bool {
		return slices.ContainsFunc(decisions, func(d remedy.Remedy) bool {
			return d.Same(&r) && d.Action == r.Action && d.Replacement == r.Replacement
		})
	})
	return w.rewriteRemedies(kept)
}

// rewriteRemedies writes the table of remedies of the survey, as CSV and as a
// workbook.
func (w *walk) rewriteRemedies(rows []remedy.Remedy) error {
	name, _ := w.remediesFiles()
	out := w.inputs.Path(name)
	second, err := otherForm(out)
	if err != nil {
		return err
	}
	for _, one := range []string{name, beside(name)} {
		if one != "" && w.inputs.Changed(one) {
			return &ChangedError{one}
		}
	}
	return writeRemedies(rows, out, second)
}

// guardRemedies looks through rows that nobody has written yet for places that are
// withheld.
func (w *walk) guardRemedies(rows []remedy.Remedy) error {
	if w.sensitive.result == nil || w.sensitive.result.Guard == nil {
		return nil
	}
	var text bytes.Buffer
	if err := remedy.Write(&text, rows); err != nil {
		return err
	}
	return w.guardFile("remedies.csv", &text)
}

// proposals walks, and returns the rows.
func (w *walk) proposals(ctx context.Context, o Options, level record.Level) (all *Proposals, err error) {
	defer w.close(&err)
	w.proposal = &level
	stages := append(slices.Clone(judged), stage{"propose", func(w *walk) (err error) {
		if all, err = w.propose(); err == nil {
			err = w.showBeside(all.Rows)
		}
		return err
	}})
	return all, w.walk(ctx, o, stages)
}

// propose returns the rows that the survey has and one for each finding that has
// none. A remedy is matched with the key as it was written, so that a capture
// whose key was withheld is called by its place.
func (w *walk) propose() (*Proposals, error) {
	wish := remedy.Wish{Level: *w.proposal, Veil: w.veils, Nameless: w.nameless}
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
	fresh, err := remedy.Propose(w.judged.All(), search, wish)
	if err != nil {
		return nil, err
	}
	all := &Proposals{Given: len(w.decided.given)}
	for _, r := range w.decided.given {
		all.Rows = append(all.Rows, remedy.Proposal{Remedy: r})
	}
	all.Rows = append(all.Rows, fresh...)
	return all, nil
}

// veils reports whether the text of a cell must not be written down: of a row as
// a whole wherever places are withheld.
func (w *walk) veils(at record.Address) bool {
	r := w.sensitive.result
	return r != nil && at.Column == 0 || r.Veils(at)
}

func (w *walk) nameless(at record.Address) bool {
	r := w.sensitive.result
	return r != nil && at.Column == 0 || r.Renamed(at)
}

// showBeside puts the row of the sheet and the earlier captures of the animal
// beside each proposal.
func (w *walk) showBeside(rows []remedy.Proposal) error {
	w.fetchAnywhere()
	neighbours := w.neighbours()
	for i := range rows {
		p := &rows[i]
		if p.At.Row == 0 {
			continue
		}
		f := record.Finding{At: p.At, Also: p.Also}
		for _, n := range neighbours(f) {
			p.Row = append(p.Row, remedy.Beside{Cell: n.Cell, Heading: n.Heading, Text: strings.Clone(n.Text), Doubtful: n.Doubtful})
		}
		p.Beside = p.RowSaid()
	}
	return w.showEarlier(rows)
}

// otherForm is the file that is written beside a table of remedies: a workbook beside
// CSV, CSV beside a workbook, and none beside anything but a regular file.
func otherForm(out string) (string, error) {
	if info, err := os.Stat(out); err == nil && !info.Mode().IsRegular() && !info.IsDir() {
		return "", nil
	}
	name := beside(filepath.Base(out))
	if name == "" {
		return "", &CallError{Reason: out + ": a table of remedies is written as CSV or XLSX; give a name that ends in .csv or .xlsx"}
	}
	return filepath.Join(filepath.Dir(out), name), nil
}

// writeRemedies writes the table to files, each in the form of its name.
func writeRemedies(rows []remedy.Remedy, paths ...string) error {
	var files []output.NewFile
	for _, p := range paths {
		if p == "" {
			continue
		}
		write := remedy.Write
		if path.Ext(beside(filepath.Base(p))) == ".csv" {
			write = remedy.WriteBook
		}
		files = append(files, output.NewFile{Path: p, Write: func(to io.Writer) error { return write(to, rows) }})
	}
	return output.WriteFiles(files)
}

func mayWrite(path string, replace bool) error {
	if path == "" {
		return nil
	}
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return &OutputError{Path: path, Err: err}
	case info.IsDir():
		return &CallError{Reason: path + " is a folder; give the file to write"}
	case !info.Mode().IsRegular(): // written to, not replaced
		return nil
	case !replace:
		return &CallError{Reason: path + " already exists; give another file with --out, or --update to add to it (its rows stay unchanged)"}
	}
	return nil
}

// showEarlier puts the captures of the same animal before its own beside each
// proposal. It goes through the captures twice: for the marks of those that are
// asked about, and for all captures of these animals.
func (w *walk) showEarlier(rows []remedy.Proposal) error {
	asked := map[record.Address][]int{} // proposals by row
	for i := range rows {
		if rows[i].At.Row > 0 {
			at := rows[i].At.OfRow()
			asked[at] = append(asked[at], i)
		}
	}
	of, own := make([]string, len(rows)), make([]recaptures.Seen, len(rows))
	marks := map[string][]recaptures.Seen{}
	err := w.eachPart(nil, func(int) error {
		for _, c := range w.captures {
			for at := range recaptures.RowsOf(c) {
				for _, i := range asked[at] {
					if mark := strings.Clone(c.Mark()); mark != "" {
						of[i], own[i], marks[mark] = mark, w.seenAs(c), nil
					}
				}
			}
		}
		return nil
	})
	if err != nil || len(marks) == 0 {
		return err
	}
	err = w.eachPart(nil, func(int) error {
		for _, c := range w.captures {
			if _, is := marks[c.Mark()]; is {
				mark := strings.Clone(c.Mark())
				marks[mark] = append(marks[mark], w.seenAs(c))
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	for i := range rows {
		rows[i].Before = recaptures.Before(marks[of[i]], own[i])
		rows[i].Earlier = strings.Join(rows[i].Before, "\n")
	}
	return nil
}
