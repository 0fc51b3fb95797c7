package pipeline

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/keys"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/report/findings"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/store"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/tally"
	"spadefoot/pipeline/undecided"
	"spadefoot/pipeline/withhold"
)

// loadDecisions reads the tables of remedies and of sensitive taxa.
func (w *walk) loadDecisions() error {
	name, there := w.remediesFiles()
	if len(there) == 0 && w.survey.Tables.Remedies != "" && !w.proposing {
		there = []string{name}
	}
	var tables [][]remedy.Remedy
	for _, one := range there {
		err := w.loadTable(one, func(io.Reader) error {
			rs, err := w.readRemedies(one)
			tables = append(tables, rs)
			return err
		})
		if err != nil {
			return err
		}
	}
	if len(there) > 0 {
		w.decided.file = strings.Join(there, " and ")
	}
	var err error
	if w.decided.given, err = remedy.Merge(tables...); err != nil {
		return &CallError{Reason: err.Error()}
	}
	return w.loadSensitive()
}

// readRemedies reads a table of remedies as a sheet is read, so that it may have
// gone through any spreadsheet program: a workbook, or text in any encoding.
func (w *walk) readRemedies(name string) ([]remedy.Remedy, error) {
	if !sheet.Supported(name) {
		return nil, fmt.Errorf("%s: a table of remedies is CSV or a workbook", name)
	}
	sheets, _, err := sheet.Read(name, w.inputs.Path(name), sheet.Options{Budgets: w.survey.Budgets})
	if err != nil {
		return nil, err
	}
	if len(sheets) == 0 {
		return nil, fmt.Errorf("%s: there is no table in it", name)
	}
	return remedy.ReadSheet(&sheets[0], name)
}

// captureAt is the capture that a cell of a table is of, in hand or as it is on
// the store; nil for none.
func (w *walk) captureAt(at record.Address) *record.Capture {
	for _, c := range w.captures {
		if c.Row == at.Row && c.File == at.File && c.Sheet == at.Sheet {
			return c
		}
	}
	i := w.partOf(at)
	if i < 0 {
		return nil
	}
	captures, err := w.store.Take(i, &store.Buffer{})
	if err != nil {
		return nil // what it is asked for can be done without
	}
	var last *record.Capture
	for _, c := range captures {
		if c.File == at.File && c.Sheet == at.Sheet && (c.Row <= at.Row || last == nil) {
			last = c
		}
	}
	return last
}

// keyAt is the key of that capture, empty if it has none.
func (w *walk) keyAt(at record.Address) string {
	if c := w.captureAt(at); c != nil && !keys.Placeholder(c) {
		return c.Key
	}
	return ""
}

// endDecisions reports confirmations that no finding needed, and tells for each
// part what was decided about its rows. The archive is not proved yet, so those
// of its files are left alone.
func (w *walk) endDecisions() error {
	o := w.decided.outcome
	if o == nil {
		return nil
	}
	w.decided.parts = map[int][]*remedy.Applied{}
	for _, a := range o.Applied() {
		for i, rows := range w.byPart(a.Rows) {
			of := *a
			of.Rows = rows
			w.decided.parts[i] = append(w.decided.parts[i], &of)
		}
	}
	w.captures, w.findings, w.settled = nil, nil, 0
	w.find(o.Idle(func(file string) bool {
		return strings.HasPrefix(file, darwincore.Folder) || strings.HasPrefix(file, darwincore.PackageFolder)
	})...)
	w.settle()
	record.SortFindings(w.findings)
	w.whole = append(w.whole, w.findings...)
	return w.judged.Add(w.findings)
}

// byPart tells rows by the parts that hold their captures.
func (w *walk) byPart(rows []remedy.RowRef) map[int][]remedy.RowRef {
	if w.held {
		return map[int][]remedy.RowRef{0: rows}
	}
	out := map[int][]remedy.RowRef{}
	for _, r := range rows {
		if i := w.partOf(record.Address{File: r.File, Sheet: r.Sheet, Row: r.Row}); i >= 0 {
			out[i] = append(out[i], r)
		}
	}
	return out
}

// traceDecisions writes into the captures of a part what was decided about their
// cells. Of a capture whose place is withheld only who and when is reported.
func (w *walk) traceDecisions(i int) {
	applied := w.decided.parts[i]
	if len(applied) == 0 {
		return
	}
	hidden := map[*record.Capture]bool{}
	for k, c := range w.captures {
		hidden[c] = w.sensitive.result.Hides(w.store.First(i) + k)
	}
	remedy.Trace(applied, w.captures, func(c *record.Capture) bool { return hidden[c] })
}

// cells are the cells that remedies were applied to.
func (d *decisions) cells() (out []record.Address) {
	for _, a := range d.outcome.Applied() {
		out = append(out, a.At)
	}
	return out
}

// decisionNote is one remedy that was applied, for run.json and the report.
type decisionNote struct {
	File        string `json:"file"` // table of remedies
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
func (w *walk) decisionNotes() []decisionNote {
	notes := []decisionNote{}
	for _, a := range w.decided.outcome.Applied() {
		n := decisionNote{File: a.Remedy.File, Line: a.Line, Cell: a.At.String(), Capture: a.Capture, Field: a.Field, Action: string(a.Action),
			Written: a.Before, Replacement: a.Replacement, Who: a.Who, When: a.When, Why: a.Why}
		if a.Action == remedy.Confirm {
			n.Rule, n.Replacement = a.Rule, ""
		}
		if a.Action == remedy.Drop && w.sensitive.file != "" {
			n.Written = withhold.Veil // no longer a capture that could be shown or hidden
		}
		if r := w.sensitive.result; r.Owns(a.At) {
			n.Capture, n.Why = r.KeyAt(a.At), withhold.Veil
			n.Written, n.Replacement = r.Veiled(a.At, n.Written), r.Veiled(a.At, n.Replacement)
		}
		notes = append(notes, n)
	}
	return notes
}

// pageDecisions writes the decisions for the report; one on many cells once.
func (w *walk) pageDecisions() []report.Decision {
	var out []report.Decision
	var last decisionNote
	more := 0
	tellMore := func() {
		if more > 0 {
			out[len(out)-1].Done += fmt.Sprintf("; and %s more like it", record.Plural(more, "cell"))
		}
		more = 0
	}
	for _, n := range w.decisionNotes() {
		if len(out) > 0 && n.File == last.File && n.Line == last.Line {
			more++
			continue
		}
		tellMore()
		last = n
		d := report.Decision{Cell: n.Cell, Capture: n.Capture, Field: n.Field, Written: n.Written,
			By: n.Who + " on " + n.When + ": " + n.Why}
		switch remedy.Action(n.Action) {
		case remedy.Replace:
			d.Done = "replaced with " + n.Replacement
		case remedy.Clear:
			d.Done = "cleared"
		case remedy.Confirm:
			d.Done = "confirmed against " + n.Rule
		case remedy.Drop:
			d.Done = "left out with its capture"
		}
		out = append(out, d)
	}
	tellMore()
	return out
}

// UndecidedError says that there are errors that nobody decided on and that the
// survey asked for no archive then: exit code 1.
type UndecidedError struct{ Ready Readiness }

func (e *UndecidedError) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s without a decision; no archive was written, and earlier files are unchanged (archive.undecided: refuse)", record.Plural(e.Ready.Errors, "error"))
	for _, f := range e.Ready.First {
		fmt.Fprintf(&b, "\n%s: %s", f.At, findings.Short(f.Reason))
	}
	if rest := e.Ready.Errors - len(e.Ready.First); rest > 0 {
		fmt.Fprintf(&b, "\nand %d more", rest)
	}
	fmt.Fprintf(&b, "\n%s", e.Ready.Next)
	return b.String()
}

// Ready reports whether nothing is undecided, and somebody has described the
// data set.
func (r Readiness) Ready() bool { return r.Errors == 0 && len(r.Drafted) == 0 }

// readiness is known once all findings are.
func (w *walk) readiness(t *tally.Tally) Readiness {
	r := Readiness{Errors: t.Levels.Error, First: t.Errors, LeftOut: w.counts.LeftOut, Kept: w.survey.Archive.Undecided == survey.Keep, Table: w.decided.file, Drafted: w.survey.Undescribed()}
	for i := range w.decided.given {
		if w.decided.given[i].Action == "" {
			r.Waiting++
		}
	}
	switch {
	case r.Errors == 0:
	case r.Waiting > 0:
		r.Next = fmt.Sprintf("Next: decide the %s without an action in %s, and run again.", record.Plural(r.Waiting, "row"), r.Table)
	default:
		r.Next = fmt.Sprintf("Next: spadefoot remedies %s, decide there or correct the sheets, and run again.", w.folder)
	}
	return r
}

// refuse ends the walk before anything is published where errors are undecided
// and the survey asks for that.
func (w *walk) refuse() error {
	if w.survey.Archive.Undecided != survey.Refuse {
		return nil
	}
	var failed error
	var t tally.Tally
	for f := range w.inOrder(w.judged, &failed) {
		t.Add(&f)
	}
	if failed != nil || t.Levels.Error == 0 {
		return failed
	}
	return &UndecidedError{w.readiness(&t)}
}

// undecidedIn are the cells with errors that nobody decided on, none where the
// survey publishes them all the same.
func (w *walk) undecidedIn(findings []record.Finding) *undecided.Cells {
	cells := &undecided.Cells{}
	if w.survey.Archive.Undecided != survey.Keep {
		cells.Add(findings)
	}
	return cells
}

// settle gives every new finding its level in this survey and drops those that
// a person answered and those of rules that the survey turned off; the order is
// the outputs'. A reason ends without a full stop, of however many sentences.
func (w *walk) settle() {
	kept := w.findings[:w.settled]
	for _, f := range w.decided.outcome.Silence(w.findings[w.settled:], w.keyAt) {
		if level, on := w.survey.Level(f.Rule, f.Level); on {
			f.Level, f.Reason = level, strings.TrimSuffix(f.Reason, ".")
			kept = append(kept, f)
		}
	}
	w.findings = kept
	w.settled = len(kept)
}

// leaveOut drops findings, settled or not.
func (w *walk) leaveOut(drop func(record.Finding) bool) {
	settled := slices.DeleteFunc(slices.Clone(w.findings[:w.settled]), drop)
	rest := slices.DeleteFunc(slices.Clone(w.findings[w.settled:]), drop)
	w.findings, w.settled = append(settled, rest...), len(settled)
}

// rephrase changes what findings say, in a copy of them.
func (w *walk) rephrase(by func(*record.Finding)) {
	w.findings = slices.Clone(w.findings)
	for i := range w.findings {
		by(&w.findings[i])
	}
}

func (w *walk) find(fs ...record.Finding) { w.findings = append(w.findings, fs...) }
