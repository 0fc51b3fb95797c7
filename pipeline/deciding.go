package pipeline

import (
	"fmt"
	"strings"

	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/tally"
	"spadefoot/pipeline/undecided"
)

// UndecidedError says that there are errors that nobody decided on and that the
// survey asked for no archive then: exit code 1.
type UndecidedError struct{ Ready Readiness }

func (e *UndecidedError) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s without a decision; no archive was written, and what was there before is unchanged (archive.undecided: refuse)", record.Plural(e.Ready.Errors, "error"))
	for _, f := range e.Ready.First {
		fmt.Fprintf(&b, "\n%s: %s", f.At, report.Short(f.Reason))
	}
	if rest := e.Ready.Errors - len(e.Ready.First); rest > 0 {
		fmt.Fprintf(&b, "\nand %d more", rest)
	}
	fmt.Fprintf(&b, "\n%s", e.Ready.Next)
	return b.String()
}

// Readiness is how far an archive is from being one to publish.
type Readiness struct {
	Errors  int              // that nobody decided on
	First   []record.Finding // of them
	LeftOut int              // values that are not published as such for their sake
	Kept    bool             // they are published all the same
	Waiting int              // rows of the table of remedies without an action
	Table   string           // its name
	Next    string           // what to do next
	Drafted []string         // keys under dataset that still hold what a draft put there
}

// Ready reports whether nothing is undecided, and somebody has described the
// data set.
func (r Readiness) Ready() bool { return r.Errors == 0 && len(r.Drafted) == 0 }

// readiness is told when all is found.
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
func (w *walk) undecidedIn(findings ...[]record.Finding) *undecided.Cells {
	cells := &undecided.Cells{}
	if w.survey.Archive.Undecided != survey.Keep {
		for _, fs := range findings {
			cells.Add(fs)
		}
	}
	return cells
}

// markUndecided marks what is not published in the captures in hand.
func (w *walk) markUndecided(cells ...*undecided.Cells) {
	for _, c := range w.captures {
		undecided.With(cells).Mark(c)
		undecided.MarkUnfit(c, prove.Unfit)
	}
}
