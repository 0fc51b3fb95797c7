package pipeline

import (
	"errors"
	"io"
	"slices"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/normalise"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/survey"
)

// chunkRows is how many rows are read at a time.
const chunkRows = 2048

// readSheet takes one entry of the survey's sheets to captures. A text file
// flows through; a workbook, or a file whose layout shows only from all of its
// rows, is held while it is read, one at a time.
func (l *long) readSheet(i int, ref survey.SheetRef) error {
	path := l.inputs.Path(ref.File)
	flows := false
	if text, err := sheet.IsText(ref.File, path); err != nil {
		return &InputError{File: ref.File, Err: err}
	} else if text {
		if flows, err = l.flow(i, ref, path); err != nil {
			return err
		}
	}
	if flows {
		return nil
	}
	l.inputs.Note(ref.File)
	sheets, fs, err := sheet.Read(ref.File, path, sheetOptions(ref))
	if err != nil {
		return &InputError{File: ref.File, Err: err}
	}
	if err := l.tell(fs); err != nil {
		return err
	}
	for k := range sheets {
		if err := l.wholeSheet(i, ref, &sheets[k]); err != nil {
			return err
		}
	}
	return nil
}

// wholeSheet lays out a sheet that is in memory and hands its captures over.
func (l *long) wholeSheet(i int, ref survey.SheetRef, s *record.Sheet) error {
	l.counts.Sheets++
	l.counts.RowsRead += len(s.Rows)
	l.sheets = append(l.sheets, sheetOf{i, record.Sheet{File: s.File, Name: s.Name, Hidden: s.Hidden}})
	tables, fs := layout.Find(*s, layoutOptions(ref))
	s.Rows = nil
	if err := l.tell(fs); err != nil {
		return err
	}
	for k := range tables {
		t := &tables[k]
		in, err := l.newTableRows(i, t, false)
		if err != nil {
			return err
		}
		rows := t.Rows
		t.Rows = nil
		if err := in.addAll(rows); err != nil {
			return err
		}
		if err := in.end(); err != nil {
			return err
		}
	}
	return nil
}

// flow reads a text file in chunks. It reports false, with nothing done, where
// the layout cannot be told from the first rows.
func (l *long) flow(i int, ref survey.SheetRef, path string) (bool, error) {
	seen, err := output.See(path)
	if err != nil {
		return false, &InputError{File: ref.File, Err: err}
	}
	flow, fs, err := sheet.Open(ref.File, path, sheetOptions(ref))
	if err != nil {
		return false, &InputError{File: ref.File, Err: err}
	}
	defer flow.Close()
	window, err := flow.Next(wholeRows)
	if err != nil && !errors.Is(err, io.EOF) {
		return false, &InputError{File: ref.File, Err: err}
	}
	head := record.Sheet{File: ref.File, Rows: window}
	tables, more, found := layout.Begin(head, layoutOptions(ref))
	if more == nil {
		return false, nil
	}
	l.counts.Sheets++
	l.sheets = append(l.sheets, sheetOf{i, record.Sheet{File: ref.File}})
	if err := l.tell(append(fs, found...)); err != nil {
		return true, err
	}
	l.counts.RowsRead += len(window)
	clear(window) // the tables hold the cells now
	var last *tableRows
	for k := range tables {
		in, err := l.newTableRows(i, &tables[k], k == len(tables)-1)
		if err != nil {
			return true, err
		}
		rows := tables[k].Rows
		tables[k].Rows = nil
		if err := in.addAll(rows); err != nil {
			return true, err
		}
		if last = in; k < len(tables)-1 {
			if err := in.end(); err != nil {
				return true, err
			}
		}
	}
	if err := l.rest(ref, flow, more, last); err != nil {
		return true, err
	}
	l.inputs.NoteRead(ref.File, seen, flow.Sum())
	return true, nil
}

// rest hands over the rows behind the window.
func (l *long) rest(ref survey.SheetRef, flow *sheet.Flow, more *layout.Body, in *tableRows) error {
	for {
		rows, err := flow.Next(chunkRows)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return &InputError{File: ref.File, Err: err}
		}
		l.counts.RowsRead += len(rows)
		body, fs, err := more.More(rows)
		if err != nil {
			return &InputError{File: ref.File, Err: err}
		}
		if err := errors.Join(l.tell(fs), in.more(body)); err != nil {
			return err
		}
	}
	body, fs, err := more.End()
	if err != nil {
		return &InputError{File: ref.File, Err: err}
	}
	if err := errors.Join(l.tell(append(fs, flow.Findings()...)), in.more(body)); err != nil {
		return err
	}
	in.table.table.Rectangle = more.Rectangle()
	return in.end()
}

// tell adds findings on a sheet as a whole: they belong to no part.
func (l *long) tell(fs []record.Finding) error {
	l.whole = append(l.whole, fs...)
	return l.ctx.Err()
}

// tableRows takes the rows of one table to captures.
type tableRows struct {
	l       *long
	table   *tableOf
	applied *mapping.Applied // of a table whose rows go on
	rows    *normalise.Rows
}

// newTableRows gives the columns of a table their meaning and begins with its
// rows, which may be the first of more.
func (l *long) newTableRows(i int, t *record.Table, goesOn bool) (*tableRows, error) {
	var applied *mapping.Applied
	var fs []record.Finding
	var err error
	if m := l.survey.Sheets[i].Map; goesOn {
		applied, fs, err = mapping.Begin(m, t, Known())
	} else {
		fs, err = mapping.Apply(m, t, Known())
	}
	if err != nil {
		return nil, &CallError{err.Error()}
	}
	if err := l.tell(fs); err != nil {
		return nil, err
	}
	x, err := l.context(i)
	if err != nil {
		return nil, err
	}
	rows := normalise.Begin(t, x)
	bare := *t
	bare.Rows = nil
	l.laid = append(l.laid, tableOf{ref: i, table: &bare})
	return &tableRows{l: l, table: &l.laid[len(l.laid)-1], applied: applied, rows: rows}, nil
}

// more takes rows that were read behind the first ones.
func (in *tableRows) more(rows []record.TableRow) error {
	if err := in.applied.More(rows); err != nil {
		return &InputError{File: in.table.table.File, Err: err}
	}
	return in.add(rows)
}

func (in *tableRows) add(rows []record.TableRow) error {
	in.table.count(rows)
	captures, fs := in.rows.Add(rows)
	in.l.intake.waiting.leases = append(in.l.intake.waiting.leases, in.rows.Lease())
	return in.l.take(captures, fs, in.rows.Aside())
}

// addAll takes rows in chunks and clears them: they are held nowhere else.
func (in *tableRows) addAll(rows []record.TableRow) error {
	for chunk := range slices.Chunk(rows, chunkRows) {
		if err := in.add(chunk); err != nil {
			return err
		}
		clear(chunk)
	}
	return nil
}

func (in *tableRows) end() error {
	l := in.l
	l.counts.Tables++
	l.counts.TableRows += in.table.rows
	captures, fs := in.rows.End()
	fs = append(fs, in.table.withoutRows()...)
	if in.applied != nil {
		fs = append(fs, in.applied.End()...)
	}
	if err := l.tell(fs); err != nil {
		return err
	}
	return l.take(captures, nil, in.rows.Aside())
}
