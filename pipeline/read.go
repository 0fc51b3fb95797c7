package pipeline

import (
	"errors"
	"slices"
	"sync"

	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/weigh"
)

// findRemedies finds the cells that remedies mean, before any row is taken: in the
// tables of a survey that is held, or by reading the sheets once. All of them are
// going to be carried out, or none.
func (w *walk) findRemedies() (err error) {
	if len(w.decided.given) == 0 {
		return nil
	}
	search := w.newSearch(w.decided.given, nil)
	if err := w.search(search); err != nil {
		return err
	}
	if err := w.settleRemedies(search); err != nil {
		return err
	}
	return w.tell(w.decided.outcome.Findings)
}

// settleRemedies decides what becomes of the remedies.
func (w *walk) settleRemedies(search *remedy.Search) (err error) {
	var o remedy.Options
	if w.sensitive.file != "" {
		o.Secret = func(*record.Column) bool { return true } // a place may stand in any cell
	}
	if w.decided.outcome, err = search.Settle(o); err != nil {
		return &CallError{Reason: err.Error()}
	}
	return nil
}

func (w *walk) newSearch(rs []remedy.Remedy, cells []record.Address) *remedy.Search {
	return remedy.NewSearch(rs, cells, func(text string) (string, bool) {
		m, ok := w.survey.Measures().Find(text)
		return m.Name, ok
	})
}

// search looks through all rows, with the keys of their captures as the tables
// stand, so that they are those that findings and tables show.
func (w *walk) search(s *remedy.Search) (err error) {
	scout := *w
	scout.scout, scout.laid, scout.sheets, scout.whole = s, nil, nil, nil
	if !w.held {
		_, err = scout.readSheets()
		return err
	}
	for _, t := range w.laid {
		in := &tableRows{walk: &scout, table: &tableOf{ref: t.ref, table: t.table}}
		if err := errors.Join(in.addAll(t.table.Rows), in.end()); err != nil {
			return err
		}
	}
	return nil
}

// checkSheets looks through the sheets for lines on checks of scales, before any
// row is weighed. Of a survey whose instruments weigh nothing, no line is read.
func (w *walk) checkSheets() error {
	if !weigh.Weighs(w.instruments()) {
		return nil
	}
	for _, ref := range w.survey.Sheets {
		if err := w.checkFile(ref); err != nil {
			return err
		}
	}
	return nil
}

// checkReadable looks through the sheets that can be read; what reads the others
// says so.
func (w *walk) checkReadable() {
	if !weigh.Weighs(w.instruments()) {
		return
	}
	for _, ref := range w.survey.Sheets {
		_ = w.checkFile(ref)
	}
}

// checkFile looks through one file.
func (w *walk) checkFile(ref survey.SheetRef) error {
	var isDate func(string) bool
	if ref.Map != nil {
		isDate = ref.Map.Meaning(known.Words(), "eventDate")
	}
	var l *weigh.CheckLines
	for c, err := range sheet.Chunks(ref.File, w.inputs.Path(ref.File), sheetOptions(w.survey, ref), chunkRows) {
		if c.First {
			if l != nil {
				l.End()
			}
			l = weigh.NewCheckLines(&w.onSheets, w.instruments(), ref.File, c.Tab, isDate)
		}
		if l != nil {
			l.Rows(c.Rows)
		}
		if err != nil {
			return &InputError{File: ref.File, Err: err}
		}
	}
	if l != nil {
		l.End()
	}
	return nil
}

// read reads the survey once: sheets to captures, each named and weighed, on
// the store, and what judging them needs to know of all. What has been read is
// stored while the reading goes on.
func (w *walk) read() error { return w.readBy((*walk).readAll) }

// readBy reads the survey with what hands its batches over.
func (w *walk) readBy(all func(*walk) error) error {
	in := &intake{walk: w, storing: *w, batches: make(chan batch, 1), failed: make(chan error, 1)}
	w.intake = in
	var storer sync.WaitGroup
	storer.Go(in.work)
	err := all(w)
	close(in.batches)
	storer.Wait()
	select {
	case failed := <-in.failed:
		return failed
	default:
	}
	if err != nil {
		return err
	}
	w.counts.Captures, w.counts.Absences = in.storing.counts.Captures, in.storing.counts.Absences
	w.keys = in.storing.keys
	return w.endRead()
}

// readAll takes the survey's sheets to captures, one after the other. Of a survey
// that is held all tables are there before the first row is taken.
func (w *walk) readAll() error {
	if !w.held {
		if err := w.findRemedies(); err != nil {
			return err
		}
	}
	for _, name := range w.survey.LeftAlone {
		w.whole = append(w.whole, sheet.LeftAlone(name))
	}
	if err := w.checkSheets(); err != nil {
		return err
	}
	var err error
	if w.learned.weighed, err = w.weighSettings(); err != nil {
		return err
	}
	if err := w.tell(slices.Concat(w.tables.checks.Unread, w.onSheets.Unread)); err != nil {
		return err
	}
	held, err := w.readSheets()
	if err != nil {
		return err
	}
	if w.held {
		if err := w.findRemedies(); err != nil {
			return err
		}
	}
	for _, in := range held {
		if err := in.all(in.table.table.Rows); err != nil {
			return err
		}
	}
	if err := w.tell(w.decided.outcome.NotDropped()); err != nil {
		return err
	}
	return w.handOver()
}

// endRead says what is known of the survey once all of it was read.
func (w *walk) endRead() error {
	w.whole = append(w.whole, w.keys.Missed(w.keyTermsOf)...)
	w.whole = append(w.whole, w.driftedScales()...)
	return w.sameKeys()
}
