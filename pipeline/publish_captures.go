package pipeline

import (
	"bufio"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"spadefoot/pipeline/account"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/undecided"
)

const capturesFile = "captures.csv"

// capturesTable is captures.csv under way. It is a witness of the archive: while
// a capture is at hand for the rows of the archive, these are held against the
// cells of the tables, its row here is made, and its readings are counted.
type capturesTable struct {
	file  *os.File
	out   *bufio.Writer
	table *report.CaptureTable
	book  *account.Book
	own   func(*record.Capture) report.Counts // of findings on the part in hand
	whole func(*record.Capture) report.Counts // of findings on the survey that name the capture
	told  map[string]report.Counts            // of findings on captures of keys that are repeated
	idle  sync.Pool                           // of *capturesRows
	err   error                               // what could not be written

	became  report.ReadingCount
	leftOut int // values that nobody decided on
}

// capturesRows are rows of some captures, and what was counted in them.
type capturesRows struct {
	of      *capturesTable
	rows    *report.CaptureRows
	text    []byte
	read    darwincore.Reader // of the book
	became  report.ReadingCount
	leftOut int
}

func (w *walk) newTable() (*capturesTable, error) {
	f, err := os.Create(filepath.Join(w.out, capturesFile))
	if err != nil {
		return nil, err
	}
	columns := w.verdicts.columns
	if len(w.before) > 0 {
		columns.Add(&record.Capture{Values: []record.Value{{Term: recaptures.Term}}})
	}
	for _, r := range w.verdicts.inference.Kinds() {
		columns.Add(&record.Capture{Readings: []record.Reading{r}})
	}
	t := &capturesTable{file: f, out: bufio.NewWriterSize(f, 1<<16), table: columns.Table(terms.Sort, w.survey.Measures().Sort), book: w.book,
		whole: report.CountByCapture(slices.Values(w.whole)), told: w.repeated.told}
	_, err = t.out.Write(t.table.Header())
	return t, err
}

// begin takes the findings on the captures that come next.
func (t *capturesTable) begin(fs []record.Finding) { t.own = report.CountByCapture(slices.Values(fs)) }

// counts are the numbers of findings on a capture.
func (t *capturesTable) counts(c *record.Capture) report.Counts {
	n, several := t.told[c.Key]
	if !several {
		n = t.own(c)
	}
	return n.Plus(t.whole(c))
}

// Reader implements darwincore.Witness.
func (t *capturesTable) Reader(core []string) darwincore.Reader {
	r, ok := t.idle.Get().(*capturesRows)
	if !ok {
		r = &capturesRows{of: t, rows: t.table.Rows()}
	}
	r.read, r.text, r.leftOut = t.book.Reader(core), r.text[:0], 0
	r.became.Clear()
	return r
}

// Rows implements darwincore.Reader.
func (r *capturesRows) Rows(c *record.Capture, core, facts []byte) {
	r.read.Rows(c, core, facts)
	r.text = r.rows.Append(r.text, c, r.of.counts(c))
	r.became.Add(c)
	r.leftOut += undecided.Count(c)
}

// Take implements darwincore.Witness.
func (t *capturesTable) Take(read darwincore.Reader) {
	r := read.(*capturesRows)
	t.book.Take(r.read)
	t.became.Join(&r.became)
	t.leftOut += r.leftOut
	if _, err := t.out.Write(r.text); err != nil {
		t.err = &OutputError{Path: capturesFile, Err: err}
	}
	t.idle.Put(r)
}

func (t *capturesTable) close() error {
	if err := errors.Join(t.out.Flush(), t.file.Close()); err != nil {
		return &OutputError{Path: capturesFile, Err: err}
	}
	return nil
}
