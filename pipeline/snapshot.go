package pipeline

import (
	"cmp"
	"context"
	"errors"
	"html/template"
	"iter"
	"os"
	"slices"
	"sync"

	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/remedy"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/store"
)

// Snapshot is the survey as Inspect found it. Captures and findings are in files
// until Close; what is in memory grows little with the survey, as in a run. Of a
// survey of several parts the tables have their first rows only. It may be asked
// from several goroutines.
type Snapshot struct {
	*Result
	Rows      []int                         // of each table, all of them
	Columns   map[record.Address]ColumnSeen // by file, sheet and column
	Proposals *Proposals                    // what is to be decided on errors and warnings, behind what has been
	Gathered  *report.Gatherer              // causes and pictures
	Readings  int                           // that are numbers
	Values    int                           // texts of terms
	Missing   error                         // what the description lacks for publishing, of type config.Mistakes; nil for nothing

	mu    sync.Mutex // of the walk
	walk  *walk
	keys  digests
	marks digests
	spots digests // of rows, as rowName has them
}

// ColumnSeen is what became of the cells of a column.
type ColumnSeen struct {
	Filled int // hold something
	Read   int // were read as values
	Doubts int // errors and warnings
}

// Inspect walks the stages up to the judgement, writes nothing and withholds
// nothing: what it returns is for the team's own eyes, and has to be closed.
func Inspect(ctx context.Context, folder string, o Options) (_ *Snapshot, err error) {
	o.proposing = true
	w, err := start(folder, o)
	if err != nil {
		return nil, err
	}
	l := &Snapshot{walk: w, Missing: w.publishable()}
	defer func() {
		if err != nil {
			w.close(&err)
		}
	}()
	w.temp, w.sensitive, w.inspecting = os.TempDir(), sensitive{}, true
	level := record.Warning
	w.proposal = &level
	stages := append(judged[:len(judged):len(judged)], stage{"look", func(w *walk) error { return l.gather(w) }})
	if err := w.walk(ctx, o, stages); err != nil {
		return nil, err
	}
	if l.Result, err = w.result(o); err != nil {
		return nil, err
	}
	w.ctx, w.progress, w.parted = context.WithoutCancel(ctx), nil, nil
	w.forget()
	return l, nil
}

// forget drops what the walk had in hand. A part is read back where one
// is asked for, typed rows are judged by the summary, and condition by what was inferred.
func (w *walk) forget() {
	w.captures, w.findings, w.intake = nil, nil, nil
	*w.buffers = [3]store.Buffer{} // copies of the walk have them too
	w.verdicts = verdicts{screening: w.verdicts.screening.Learnt(), inference: w.verdicts.inference}
}

// Close releases the files.
func (l *Snapshot) Close() (err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.walk.close(&err)
	return err
}

// gather goes through the parts for what pages ask for.
func (l *Snapshot) gather(w *walk) (err error) {
	l.Gathered = report.NewGatherer(report.Asked{Whole: true, Place: spotOf, Measure: w.measure, Order: w.survey.Measures().Sort})
	seen := newSeen()
	l.keys, l.marks, l.spots = nil, nil, nil
	err = w.eachPart((*walk).recall, func(i int) error {
		l.Gathered.Add(w.captures, w.findings)
		seen.doubt(w.findings)
		for k, c := range w.captures {
			seen.add(c)
			n := w.store.First(i) + k
			l.keys.add(c.Key, n)
			l.marks.add(c.Mark(), n)
			l.spots.add(rowName(c.Address()), n)
		}
		return nil
	})
	if err != nil {
		return err
	}
	l.Gathered.End(w.whole)
	seen.doubt(w.whole)
	l.keys.sort()
	l.marks.sort()
	l.spots.sort()
	l.Rows, l.Columns, l.Readings, l.Values = nil, seen.columns, seen.readings, seen.values
	for _, t := range w.laid {
		l.Rows = append(l.Rows, t.rows)
		for k, n := range t.filled {
			at := columnAddress(t.table.File, t.table.Sheet, t.table.Columns[k].Number)
			one := l.Columns[at]
			one.Filled += n
			l.Columns[at] = one
		}
	}
	l.Proposals, err = w.propose()
	return err
}

// Doubts are the errors and warnings, in the order of the outputs.
func (l *Snapshot) Doubts() iter.Seq2[record.Finding, error] {
	return func(yield func(record.Finding, error) bool) {
		for f, err := range l.walk.judged.All() {
			if (err != nil || f.Level >= record.Warning) && !yield(f, err) {
				return
			}
		}
	}
}

// Season is what the captures say, as the body of a page.
func (l *Snapshot) Season() (page template.HTML, err error) {
	w := *l.walk
	w.buffers = &[3]store.Buffer{}
	defer func() { err = errors.Join(err, w.seasonal.gather.Close()) }()
	if err := w.gatherSeason(); err != nil {
		return "", err
	}
	return report.SeasonHTML(w.seasonal.results, w.measure, w.survey.Measures().Sort, "")
}

// Row shows a row of a sheet as it was written: of a survey that is one part
// every cell, of a larger one those of the columns that were not set aside. It
// returns nil where no capture is there.
func (l *Snapshot) Row(at record.Address) (cells []remedy.Beside) {
	if t, row := l.heldRow(at); row != nil {
		for k := range row.Cells {
			c := &row.Cells[k]
			cells = append(cells, remedy.Beside{Cell: record.ColumnLetters(c.Column), Heading: t.Columns[k].Heading, Text: c.Verbatim(), At: t.Address(*c)})
		}
		return cells
	}
	c := l.captureAt(at)
	if c == nil || c.Row != at.Row {
		return nil
	}
	for _, col := range l.walk.columnsOf(c) {
		own := record.Address{File: c.File, Sheet: c.Sheet, Row: c.Row, Column: col.Number}
		cells = append(cells, remedy.Beside{Cell: record.ColumnLetters(col.Number), Heading: col.Heading, Text: c.WrittenAt(own, col.Meaning.Term), At: own})
	}
	return cells
}

// heldRow is a row that is in memory; nil for none.
func (l *Snapshot) heldRow(at record.Address) (*record.Table, *record.TableRow) {
	if !l.walk.held {
		return nil, nil
	}
	for i := range l.Tables {
		t := &l.Tables[i]
		if t.File != at.File || t.Sheet != at.Sheet {
			continue
		}
		if k, found := slices.BinarySearchFunc(t.Rows, at.Row, func(r record.TableRow, n int) int { return cmp.Compare(r.Number, n) }); found {
			return t, &t.Rows[k]
		}
	}
	return nil, nil
}

// RowText is all that a row holds, as remedies have it that leave its capture
// out; "" where the row is in no table. The sheets are read again for it.
func (l *Snapshot) RowText(at record.Address) (string, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	s := l.walk.newSearch(nil, []record.Address{at})
	err := l.walk.search(s)
	return s.Text(at), err
}

func (l *Snapshot) captureAt(at record.Address) *record.Capture {
	found := l.spots.find(rowName(at))
	for _, n := range slices.Backward(found) {
		if c, err := l.walk.store.Find(n); err == nil && rowName(c.Address()) == rowName(at) {
			return c
		}
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.walk.captureAt(at)
}

// rowName names the row of a cell.
func rowName(at record.Address) string {
	at.Column = 0
	return at.String()
}

// Before are the captures of the same animal before the one in a row, a line
// each.
func (l *Snapshot) Before(at record.Address) ([]string, error) {
	c := l.captureAt(at)
	if c == nil || c.Mark() == "" {
		return nil, nil
	}
	all, err := l.marked(c.Mark())
	if err != nil {
		return nil, err
	}
	seen := make([]recaptures.Seen, len(all))
	for i, one := range all {
		seen[i] = l.walk.seenAs(one)
	}
	return recaptures.Before(seen, l.walk.seenAs(c)), nil
}

// marked are the captures of a mark.
func (l *Snapshot) marked(mark string) (out []*record.Capture, err error) {
	for _, n := range l.marks.find(mark) {
		c, err := l.walk.store.Find(n)
		if err != nil {
			return nil, err
		}
		if c.Mark() == mark {
			out = append(out, c)
		}
	}
	return out, nil
}

// hasKey reports whether a capture has the key, other than the one in a row.
func (l *Snapshot) hasKey(key string, but record.Address) (bool, error) {
	for _, n := range l.keys.find(key) {
		if c, err := l.walk.store.Find(n); err != nil || c.Key == key && c.Address() != but {
			return err == nil, err
		}
	}
	return false, nil
}

// digests find captures by a text, 16 bytes for each. Of what is found some may
// have another text.
type digests []digested

type digested struct {
	of      digest.Digest
	ordinal int
}

func (d *digests) add(text string, ordinal int) {
	if text != "" {
		*d = append(*d, digested{digest.Start.Text(text), ordinal})
	}
}

func (d digests) sort() {
	sorting.Func(d, func(a, b digested) int { return cmp.Or(cmp.Compare(a.of, b.of), cmp.Compare(a.ordinal, b.ordinal)) })
}

// find returns ordinals in their order.
func (d digests) find(text string) (ordinals []int) {
	want := digest.Start.Text(text)
	i, _ := slices.BinarySearchFunc(d, want, func(e digested, of digest.Digest) int { return cmp.Compare(e.of, of) })
	for ; i < len(d) && d[i].of == want; i++ {
		ordinals = append(ordinals, d[i].ordinal)
	}
	return ordinals
}

// seenCells counts what became of the cells of each column. A cell that was
// carried down or is above a table counts once for captures that follow each
// other.
type seenCells struct {
	columns          map[record.Address]ColumnSeen
	elsewhere        map[record.Address]record.Address // by column, the last cell that is not of the capture's own row
	readings, values int
	own              []record.Address // of the capture in hand
}

func newSeen() *seenCells {
	return &seenCells{columns: map[record.Address]ColumnSeen{}, elsewhere: map[record.Address]record.Address{}}
}

// columnAddress is the address of a column, without a row.
func columnAddress(file, sheet string, column int) record.Address {
	return record.Address{File: file, Sheet: sheet, Column: column}
}

// doubt counts errors and warnings.
func (s *seenCells) doubt(fs []record.Finding) {
	for i := range fs {
		if f := &fs[i]; f.Level >= record.Warning && f.At.Column > 0 {
			s.count(f.At, func(c *ColumnSeen) { c.Doubts++ })
		}
	}
}

func (s *seenCells) count(at record.Address, add func(*ColumnSeen)) {
	at.Row = 0
	one, there := s.columns[at]
	if !there {
		at = at.Clone()
	}
	add(&one)
	s.columns[at] = one
}

// add counts the cells of a capture that were read.
func (s *seenCells) add(c *record.Capture) {
	s.own = s.own[:0]
	for i := range c.Values {
		v := &c.Values[i]
		if v.Text != "" {
			s.cell(c, v.From())
			if v.From().Row > 0 {
				s.values++
			}
		}
	}
	for i := range c.Readings {
		s.reading(c, &c.Readings[i])
		if r := &c.Readings[i]; r.Usable() && !r.Derived {
			s.readings++
		}
	}
	if w := c.Weighing; w != nil {
		s.reading(c, w.Gross)
		s.reading(c, w.Tare)
		s.reading(c, w.Net)
		if w.BagLabel != "" {
			s.cell(c, w.Bag)
		}
	}
}

func (s *seenCells) reading(c *record.Capture, r *record.Reading) {
	if r != nil && r.Usable() {
		s.cell(c, r.From())
	}
}

// cell counts a cell of the capture once.
func (s *seenCells) cell(c *record.Capture, at record.Address) {
	if at.Column == 0 || at.Row == 0 || slices.Contains(s.own, at) {
		return
	}
	s.own = append(s.own, at)
	if at.Row != c.Row {
		column := columnAddress(at.File, at.Sheet, at.Column)
		if s.elsewhere[column] == at {
			return
		}
		at = at.Clone()
		s.elsewhere[columnAddress(at.File, at.Sheet, at.Column)] = at
	}
	s.count(at, func(c *ColumnSeen) { c.Read++ })
}
