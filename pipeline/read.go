package pipeline

import (
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"sync"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/normalise"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/budget"
	"spadefoot/pipeline/remedy"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/survey"
)

// maxFirstRows is how many rows the tables of a survey of several parts keep, and
// those of one table.
const (
	maxFirstRows        = wholeRows
	maxFirstRowsOfTable = 5_000
)

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
	if err := w.addSheetFindings(slices.Concat(w.tables.checks.Unread, w.onSheets.Unread)); err != nil {
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
	if err := w.addSheetFindings(w.decided.outcome.NotDropped()); err != nil {
		return err
	}
	return w.sendBatch()
}

// endRead says what is known of the survey once all of it was read.
func (w *walk) endRead() error {
	w.whole = append(w.whole, w.keys.Missed(w.keyTermsOf)...)
	w.whole = append(w.whole, w.driftedScales()...)
	return w.sameKeys()
}

// tableRows takes the rows of one table to captures.
type tableRows struct {
	walk    *walk
	table   *tableOf
	applied *mapping.Applied // of a table whose rows go on
	changes *remedy.Changes  // what people decided
	rows    *normalise.Rows  // begun with the first rows
	waiting []record.TableRow
}

// readSheets reads the sheets and returns the tables of a survey that is held.
func (w *walk) readSheets() (held []*tableRows, err error) {
	for i, ref := range w.survey.Sheets {
		tables, err := w.readSheet(i, ref)
		if err != nil {
			return nil, err
		}
		held = append(held, tables...)
	}
	return held, nil
}

// readSheet reads one entry of the survey's sheets. A text file flows through; a
// workbook, or a file whose layout shows only from all of its rows, is held while
// it is read. Of a survey that is held it gives the tables, whose rows are to be
// taken.
func (w *walk) readSheet(i int, ref survey.SheetRef) (held []*tableRows, err error) {
	path := w.inputs.Path(ref.File)
	if !w.held {
		if text, err := sheet.IsText(ref.File, path); err != nil {
			return nil, &InputError{File: ref.File, Err: err}
		} else if text {
			if flows, err := w.flow(i, ref, path); flows || err != nil {
				return nil, err
			}
		}
	}
	w.inputs.Note(ref.File)
	sheets, fs, err := sheet.Read(ref.File, path, sheetOptions(w.survey, ref))
	if err != nil {
		return nil, &InputError{File: ref.File, Err: err}
	}
	if err := w.addSheetFindings(fs); err != nil {
		return nil, err
	}
	for k := range sheets {
		tables, err := w.wholeSheet(i, ref, &sheets[k])
		if err != nil {
			return nil, err
		}
		held = append(held, tables...)
	}
	return held, nil
}

// wholeSheet lays out a sheet that is in memory. Unless the survey is held it
// takes the rows of its tables at once and drops them.
func (w *walk) wholeSheet(i int, ref survey.SheetRef, s *record.Sheet) (held []*tableRows, err error) {
	w.counts.Sheets++
	w.counts.RowsRead += len(s.Rows)
	w.sheets = append(w.sheets, sheetOf{i, record.Sheet{File: s.File, Name: s.Name, Hidden: s.Hidden}})
	tables, fs := layout.Find(*s, layoutOptions(ref))
	s.Rows = nil
	if err := w.addSheetFindings(fs); err != nil {
		return nil, err
	}
	for k := range tables {
		in, err := w.newTableRows(i, &tables[k], false)
		if err != nil {
			return nil, err
		}
		if w.held {
			held = append(held, in)
			continue
		}
		if err := in.all(tables[k].Rows); err != nil {
			return nil, err
		}
	}
	return held, nil
}

// flow reads a text file in chunks. It reports false, with nothing done, where
// the first rows don't decide the layout.
func (w *walk) flow(i int, ref survey.SheetRef, path string) (bool, error) {
	info, err := os.Stat(path)
	if err != nil {
		return false, &InputError{File: ref.File, Err: err}
	}
	flow, fs, err := sheet.Open(ref.File, path, sheetOptions(w.survey, ref))
	if err != nil {
		return false, &InputError{File: ref.File, Err: err}
	}
	defer flow.Close()
	window, err := flow.Next(w.windowRows)
	if err != nil && !errors.Is(err, io.EOF) {
		return false, &InputError{File: ref.File, Err: err}
	}
	head := record.Sheet{File: ref.File, Rows: window}
	tables, more, found := layout.Begin(head, layoutOptions(ref))
	if more == nil {
		return false, nil
	}
	w.counts.Sheets++
	w.sheets = append(w.sheets, sheetOf{i, record.Sheet{File: ref.File}})
	if err := w.addSheetFindings(append(fs, found...)); err != nil {
		return true, err
	}
	w.counts.RowsRead += len(window)
	clear(window) // the tables hold the cells now
	var last *tableRows
	for k := range tables {
		in, err := w.newTableRows(i, &tables[k], k == len(tables)-1)
		if err != nil {
			return true, err
		}
		if err := in.addAll(tables[k].Rows); err != nil {
			return true, err
		}
		if last = in; k < len(tables)-1 {
			if err := in.end(); err != nil {
				return true, err
			}
		}
	}
	if err := w.rest(ref, flow, more, last); err != nil {
		return true, err
	}
	w.inputs.NoteRead(ref.File, info.Size(), flow.Sum())
	return true, nil
}

// rest passes on the rows behind the window.
func (w *walk) rest(ref survey.SheetRef, flow *sheet.Flow, more *layout.Body, in *tableRows) error {
	for {
		rows, err := flow.Next(chunkRows)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return &InputError{File: ref.File, Err: err}
		}
		w.counts.RowsRead += len(rows)
		body, fs, err := more.More(rows)
		if err != nil {
			return &InputError{File: ref.File, Err: err}
		}
		if err := errors.Join(w.addSheetFindings(fs), in.more(body)); err != nil {
			return err
		}
	}
	body, fs, err := more.End()
	if err != nil {
		return &InputError{File: ref.File, Err: err}
	}
	if err := errors.Join(w.addSheetFindings(append(fs, flow.Findings()...)), in.more(body)); err != nil {
		return err
	}
	in.table.table.Rectangle = more.Rectangle()
	return in.end()
}

// addSheetFindings adds findings on a sheet as a whole: they belong to no part.
func (w *walk) addSheetFindings(fs []record.Finding) error {
	w.whole = append(w.whole, fs...)
	return w.ctx.Err()
}

// newTableRows gives the columns of a table their meaning. Its rows may be the
// first of more.
func (w *walk) newTableRows(i int, t *record.Table, goesOn bool) (in *tableRows, err error) {
	if most := w.survey.Budgets.OrUsual().Columns; mapping.Labels(t) > most {
		return nil, &InputError{File: t.File, Err: &sheet.Error{File: t.File, Sheet: t.Sheet,
			Cause: fmt.Sprintf("there are more than %d labels above a table or between its rows", most), Advice: budget.Advice(budget.Columns)}}
	}
	in = &tableRows{walk: w, table: &tableOf{ref: i, table: t}}
	var fs []record.Finding
	if m := w.survey.Sheets[i].Map; goesOn {
		in.applied, fs, err = mapping.Begin(m, t, known.Words())
	} else {
		fs, err = mapping.Apply(m, t, known.Words())
	}
	if err != nil {
		return nil, &CallError{Reason: err.Error()}
	}
	w.laid = append(w.laid, in.table)
	return in, w.addSheetFindings(fs)
}

// more takes rows that were read behind the first ones.
func (in *tableRows) more(rows []record.TableRow) error {
	if err := in.applied.More(rows); err != nil {
		return &InputError{File: in.table.table.File, Err: err}
	}
	in.table.count(rows)
	in.changes.Rows(rows)
	return in.take(rows)
}

// take turns rows into captures.
func (in *tableRows) take(rows []record.TableRow) error {
	captures, fs := in.rows.Add(rows)
	memory := in.rows.Memory()
	if in.walk.scout != nil {
		in.search(rows, captures)
		memory.Release()
		return in.walk.ctx.Err()
	}
	b := &in.walk.intake.waiting
	b.memory = append(b.memory, memory)
	return in.walk.add(in.kept(captures), fs, in.rows.Aside())
}

// addAll takes the first rows in chunks. Unless the survey is held they are
// cleared: they are held nowhere else.
func (in *tableRows) addAll(rows []record.TableRow) error {
	w, t := in.walk, in.table.table
	in.table.count(rows)
	in.changes = w.decided.outcome.Changes(t)
	in.changes.Rows(rows)
	x, err := w.context(in.table.ref)
	if err != nil {
		return err
	}
	in.rows = normalise.Begin(t, x)
	if w.held {
		return in.take(rows)
	}
	bare := *t
	bare.Rows, t.Rows = w.firstRows(rows), nil
	in.table.table = &bare
	for chunk := range slices.Chunk(rows, chunkRows) {
		if err := in.take(chunk); err != nil {
			return err
		}
		if w.scout == nil {
			clear(chunk)
		}
	}
	return nil
}

// firstRows are the rows of a table that pages show, of a survey in parts.
func (w *walk) firstRows(rows []record.TableRow) []record.TableRow {
	if !w.inspecting || w.scout != nil {
		return nil
	}
	kept := 0
	for _, t := range w.laid {
		kept += len(t.table.Rows)
	}
	n := max(min(len(rows), maxFirstRowsOfTable, maxFirstRows-kept), min(len(rows), 20))
	return slices.Clone(rows[:n])
}

// all takes the rows of a table that has no more of them.
func (in *tableRows) all(rows []record.TableRow) error {
	if err := in.addAll(rows); err != nil {
		return err
	}
	return in.end()
}

func (in *tableRows) end() error {
	w := in.walk
	captures, fs := in.rows.End()
	if w.scout != nil {
		in.search(nil, captures)
		return nil
	}
	w.counts.Tables++
	w.counts.TableRows += in.table.rows
	fs = append(fs, in.table.withoutRows()...)
	if in.applied != nil {
		fs = append(fs, in.applied.End()...)
	}
	if err := w.addSheetFindings(fs); err != nil {
		return err
	}
	return w.add(in.kept(captures), nil, in.rows.Aside())
}

// kept leaves out the captures that a person decided to drop.
func (in *tableRows) kept(captures []*record.Capture) []*record.Capture {
	kept, dropped := in.walk.decided.outcome.Keep(captures)
	in.table.drop(dropped)
	in.walk.counts.Dropped += len(dropped)
	return kept
}

func (t *tableOf) withoutRows() []record.Finding {
	if t.rows > 0 {
		return nil
	}
	return []record.Finding{{Rule: "table-without-rows", Level: record.Warning,
		At:     record.Address{File: t.table.File, Sheet: t.table.Sheet, Row: t.table.Rectangle.Top},
		Reason: "the table has headings and no rows"}}
}

// search looks for remedies in rows whose captures are known; the others wait.
func (in *tableRows) search(rows []record.TableRow, captures []*record.Capture) {
	in.waiting = append(in.waiting, rows...)
	n := len(in.waiting)
	if from := in.rows.Waiting(); from > 0 {
		n = slices.IndexFunc(in.waiting, func(r record.TableRow) bool { return r.Number >= from })
	}
	known := in.waiting[:n]
	in.walk.scout.Rows(in.table.table, known, remedy.KeysOf(known, captures, keyTerms(in.walk.survey.Sheets[in.table.ref].Map.Key)))
	in.waiting = slices.Clone(in.waiting[n:])
}

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
	return w.addSheetFindings(w.decided.outcome.Findings)
}

// settleRemedies decides what becomes of the remedies.
func (w *walk) settleRemedies(search *remedy.Search) (err error) {
	var o remedy.Options
	if w.sensitive.file != "" {
		o.Secret = func(*record.Column) bool { return true } // a place may be in any cell
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
