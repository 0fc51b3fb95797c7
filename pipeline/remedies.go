package pipeline

import (
	"errors"
	"io"
	"io/fs"
	"strings"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/normalise"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/vocabulary"
	"spadefoot/pipeline/withhold"
)

// decisions is what people decided about cells, and what came of it.
type decisions struct {
	file    string // name of the table of remedies; empty for none
	given   []remedy.Remedy
	outcome *remedy.Outcome
}

// remediesFile is the table that survey.yaml names, or the usual one if it is
// there.
func (w *way) remediesFile() (name string, there bool) {
	name = w.survey.Tables.Remedies
	if name == "" {
		name = remedy.FileName
	}
	_, err := fs.Stat(w.files, name)
	return name, !errors.Is(err, fs.ErrNotExist)
}

// loadDecisions reads the tables of remedies and of sensitive taxa.
func (w *way) loadDecisions() error {
	name, there := w.remediesFile()
	if there || w.survey.Tables.Remedies != "" && !w.proposing {
		w.decided.file = name
		if err := w.loadTable(name, func(r io.Reader) (err error) { w.decided.given, err = remedy.Read(r, name); return }); err != nil {
			return err
		}
	}
	return w.loadSensitive()
}

// remedy applies the remedies to the cells of the tables, all or none.
func (w *way) remedy() error {
	if len(w.decided.given) == 0 {
		return nil
	}
	cells, err := w.cells()
	if err != nil {
		return err
	}
	o := remedy.Options{File: w.decided.file}
	if w.sensitive.file != "" {
		o.Secret = withhold.Tells
	}
	w.decided.outcome, err = remedy.Apply(w.decided.given, cells, o)
	if err != nil {
		return &CallError{err.Error()}
	}
	w.find(w.decided.outcome.Findings...)
	return nil
}

// cells indexes the tables. The keys of captures come from reading the tables
// as they stand, so that they are those that findings and tables show.
func (w *way) cells() (*remedy.Cells, error) {
	var grids []remedy.Grid
	for _, t := range w.laid {
		x, err := w.context(t.ref)
		if err != nil {
			return nil, err
		}
		captures, _ := normalise.Table(t.table, x)
		grids = append(grids, remedy.Grid{Table: t.table, Keys: keysOf(t.table, captures, x.Key)})
	}
	return remedy.NewCells(grids, func(text string) (string, bool) {
		m, ok := vocabulary.FindMeasurement(text)
		return m.Name, ok
	}), nil
}

// keysOf gives for each row of a table the key of its capture, and the key as
// it was written where that differs.
func keysOf(t *record.Table, captures []*record.Capture, terms []string) [][]string {
	out := make([][]string, len(t.Rows))
	next := 0
	for i := range t.Rows {
		for next < len(captures) && captures[next].Row <= t.Rows[i].Number {
			next++
		}
		if next == 0 || captures[next-1].Key == "" {
			continue
		}
		c := captures[next-1]
		out[i] = []string{c.Key}
		written := make([]string, len(terms))
		for k, term := range terms {
			if v := c.Value(term); v != nil && v.Verbatim != "" {
				written[k] = strings.TrimSpace(v.Verbatim)
			}
		}
		if text := strings.Join(written, " / "); text != c.Key {
			out[i] = append(out[i], text)
		}
	}
	return out
}

// idleConfirmations reports confirmations that no finding needed. The archive
// is not proved yet, so those of its files are left alone.
func (w *way) idleConfirmations() {
	w.find(w.decided.outcome.Idle(func(file string) bool {
		return strings.HasPrefix(file, darwincore.Folder) || strings.HasPrefix(file, darwincore.PackageFolder)
	})...)
}

// traceDecisions writes into the captures what was decided about their cells.
// Of a capture whose place is withheld only who and when is told.
func (w *way) traceDecisions() {
	if o := w.decided.outcome; o != nil {
		remedy.Trace(o.Applied, w.captures, w.sensitive.result.Hides)
	}
}

// decisionNote is one remedy that was applied, for run.json and the report.
type decisionNote struct {
	Line        int    `json:"line"`
	Cell        string `json:"cell"`
	Capture     string `json:"capture,omitempty"`
	Field       string `json:"field"`
	Action      string `json:"action"`
	Rule        string `json:"rule,omitempty"`
	Written     string `json:"written"`
	Replacement string `json:"replacement,omitempty"`
	Who         string `json:"who"`
	When        string `json:"when"`
	Why         string `json:"why"`
}

// decisionNotes lists what was applied; texts of cells of captures whose place
// is withheld are not shown.
func (w *way) decisionNotes() []decisionNote {
	notes := []decisionNote{}
	if w.decided.outcome == nil {
		return notes
	}
	for _, a := range w.decided.outcome.Applied {
		n := decisionNote{Line: a.Line, Cell: a.At.String(), Capture: a.Capture, Field: a.Field, Action: string(a.Action),
			Written: a.Before, Replacement: a.Replacement, Who: a.Who, When: a.When, Why: a.Why}
		if a.Action == remedy.Confirm {
			n.Rule, n.Replacement = a.Rule, ""
		}
		if r := w.sensitive.result; r.Owns(a.At) {
			n.Capture, n.Why = r.KeyAt(a.At), withhold.Veil
			n.Written, n.Replacement = r.Veiled(a.At, n.Written), r.Veiled(a.At, n.Replacement)
		}
		notes = append(notes, n)
	}
	return notes
}

// pageDecisions writes the decisions for the report.
func (w *way) pageDecisions() []report.Decision {
	var out []report.Decision
	for _, n := range w.decisionNotes() {
		d := report.Decision{Cell: n.Cell, Capture: n.Capture, Field: n.Field, Written: n.Written,
			By: n.Who + " on " + n.When + ": " + n.Why}
		switch remedy.Action(n.Action) {
		case remedy.Replace:
			d.Done = "replaced with " + n.Replacement
		case remedy.Clear:
			d.Done = "cleared"
		case remedy.Confirm:
			d.Done = "confirmed against " + n.Rule
		}
		out = append(out, d)
	}
	return out
}
