package pipeline

import (
	"bufio"
	"cmp"
	"errors"
	"io"
	"iter"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"golang.org/x/sync/errgroup"

	"spadefoot/pipeline/account"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/report/findings"
	"spadefoot/pipeline/season"
	"spadefoot/pipeline/undecided"
)

// standardise is the third pass: every part with the readings of condition
// into the archive, the table of captures, the results and what the page is made
// from.
func (w *walk) standardise() error {
	if err := w.refuse(); err != nil {
		return err
	}
	if err := w.beginSeason(); err != nil {
		return err
	}
	if err := w.linkMarks(); err != nil {
		return err
	}
	w.spreadDoubts()
	archive, err := darwincore.Create(w.out, w.dataset(), w.label)
	if err != nil {
		return w.archiveError(err)
	}
	defer archive.Discard()
	finish := (*walk).finish
	if w.survey.Archive.Core == darwincore.EventCore {
		if finish, err = w.gatherEvents(archive); err != nil {
			return err
		}
	} else {
		archive.Expect(w.archiveColumns())
	}
	w.book = w.newBook()
	table, err := w.newTable()
	if err != nil {
		return &OutputError{Path: capturesFile, Err: err}
	}
	defer table.file.Close()
	archive.Watch(table)
	w.page = w.newGather(w.neighbours())
	if err := w.eachPart(finish, func(i int) error { return w.publishPart(i, archive, table) }); err != nil {
		return err
	}
	if err := table.close(); err != nil {
		return err
	}
	w.became, w.counts.LeftOut = table.became, table.leftOut
	w.written = append(w.written, darwincore.Folder, darwincore.Zip, capturesFile, resultsFolder)
	w.seasonal.ending.Go(w.endSeason) // it reads nothing of the archive, and only the report needs it
	counts, err := archive.Close()
	if err != nil {
		return w.archiveError(err)
	}
	w.keep(darwincore.Folder, darwincore.Zip, capturesFile)
	w.counts.Occurrences, w.counts.Measurements, w.counts.Media = counts.Occurrences, counts.Measurements, counts.Media
	return w.packageOf()
}

// gatherEvents lets the archive learn what the captures of each event have in
// common, as they are published, before the first row is written. It returns what
// makes a part ready for the pass that follows.
func (w *walk) gatherEvents(archive *darwincore.Archive) (func(*walk, int) error, error) {
	err := w.eachPart((*walk).finish, func(int) error {
		if err := archive.Gather(w.captures); err != nil {
			return w.archiveError(err)
		}
		return nil
	})
	if err != nil || !w.held {
		return (*walk).finish, err
	}
	findings, settled := w.findings, w.settled
	return func(w *walk, _ int) error {
		w.findings, w.settled = findings, settled
		return nil
	}, nil
}

// newBook begins the account of the cells of the tables.
func (w *walk) newBook() *account.Book {
	book := account.New()
	for _, t := range w.laid {
		book.Add(t.table, t.filled, t.dropped, w.survey.Sheets[t.ref].Map.Remarks)
	}
	return book
}

// archiveColumns are those that the archive is going to have: what was gathered when
// its rows were judged, and what is added since.
func (w *walk) archiveColumns() *darwincore.Columns {
	columns := &w.verdicts.quality.columns.archive
	if len(w.decided.parts) > 0 {
		columns.Add("occurrenceRemarks")
		columns.Add("measurementRemarks")
	}
	if !w.undecided.Empty() {
		columns.Add("dynamicProperties")
	}
	if w.learned.repeats.Any() {
		columns.Add("measurementAccuracy")
		columns.Add("measurementRemarks")
	}
	if len(w.before) > 0 {
		columns.Add(recaptures.Term)
	}
	if len(w.verdicts.inference.Kinds()) > 0 { // their accuracy is known only where that of readings is
		columns.Add("measurementMethod")
		columns.Add("measurementRemarks")
	}
	return columns
}

// publishPart publishes the part in hand.
func (w *walk) publishPart(part int, archive *darwincore.Archive, table *capturesTable) error {
	table.begin(w.findings)
	var beside errgroup.Group // none of them changes a capture
	beside.Go(func() error {
		for _, c := range w.captures {
			if err := w.sample.Add(c); err != nil {
				return err
			}
		}
		clear(w.at)
		w.page.Add(w.captures, w.findings)
		return nil
	})
	beside.Go(func() error { return w.addSeason(part) })
	err := archive.AddPart(w.captures)
	other := beside.Wait()
	if err != nil {
		return w.archiveError(err)
	}
	return cmp.Or(table.err, other)
}

func (w *walk) archiveError(err error) error {
	if errors.As(err, new(*darwincore.IncompleteError)) {
		return &CallError{Reason: err.Error()}
	}
	return &OutputError{Path: w.out, Err: err}
}

// spreadDoubts takes the findings on the survey to the cells that they are about.
func (w *walk) spreadDoubts() {
	w.undecided = w.undecidedIn(w.whole)
	w.doubted = remarksOf(w.whole)
}

// gatherSeason takes every part for the results only.
func (w *walk) gatherSeason() error {
	if err := w.beginSeason(); err != nil {
		return err
	}
	if err := w.linkMarks(); err != nil {
		return err
	}
	w.spreadDoubts()
	if err := w.eachPart((*walk).finish, w.addSeason); err != nil {
		return err
	}
	return w.endSeason()
}

func (w *walk) beginSeason() error {
	settings, err := w.seasonSettings()
	if err != nil {
		return err
	}
	w.seasonal = &seasonal{gather: season.Begin(w.temp, settings), ending: &errgroup.Group{}}
	w.seasonal.doubts.Add(w.whole)
	return nil
}

// addSeason takes the captures of the part in hand into the results.
func (w *walk) addSeason(part int) error {
	aside, err := w.aside.Run(part)
	if err != nil {
		return err
	}
	doubts := season.Doubts{Beside: &w.seasonal.doubts}
	doubts.Add(w.findings)
	doubts.Add(aside)
	from := w.store.First(part)
	for k, c := range w.captures {
		if err := w.seasonal.gather.Add(from+k, c, &doubts); err != nil {
			return err
		}
	}
	return nil
}

// endSeason makes the results, and writes them where a run writes.
func (w *walk) endSeason() (err error) {
	var create season.Create
	if w.out != "" {
		folder := filepath.Join(w.out, resultsFolder)
		if err := os.Mkdir(folder, 0o755); err != nil {
			return &OutputError{Path: resultsFolder, Err: err}
		}
		create = func(name string) (io.WriteCloser, error) { return os.Create(filepath.Join(folder, name)) }
	}
	w.seasonal.results, err = w.seasonal.gather.Write(create, w.survey.Measures().Sort)
	err = errors.Join(err, w.seasonal.gather.Close())
	w.seasonal.gather = nil
	if err != nil && w.out != "" {
		return &OutputError{Path: resultsFolder, Err: err}
	}
	return err
}

// ours reports whether a run may have written a file of this name into one of
// its folders.
func ours(folder, name string) bool {
	if folder == resultsFolder {
		return season.Ours(name)
	}
	return darwincore.Ours(folder, name)
}

// packageOf writes the captures as a Darwin Core Data Package too, where the
// survey asks for it.
func (w *walk) packageOf() error {
	if !w.survey.Archive.Package {
		return nil
	}
	var failed error
	counts, err := darwincore.WritePackage(w.out, w.dataset(), w.label, w.published(&failed))
	if err := errors.Join(err, failed); err != nil {
		return &OutputError{Path: w.out, Err: err}
	}
	w.counts.Package = counts
	w.written = append(w.written, darwincore.PackageFolder)
	return nil
}

// published returns the captures as they are published, one after the other.
func (w *walk) published(failed *error) iter.Seq[*record.Capture] {
	finish := (*walk).finish
	if w.held {
		finish = nil // they are
	}
	return func(yield func(*record.Capture) bool) {
		err := w.eachPart(finish, func(int) error {
			for _, c := range w.captures {
				if !yield(c) {
					return errEnough
				}
			}
			return nil
		})
		if !errors.Is(err, errEnough) {
			*failed = err
		}
	}
}

// errEnough ends a walk over the rows whose reader has gone.
var errEnough = errors.New("enough")

const capturesFile = "captures.csv"

// capturesTable is captures.csv under way. It is a witness of the archive: while
// a capture is at hand for the rows of the archive, these are held against the
// cells of the tables, its row here is made, and its readings are counted.
type capturesTable struct {
	file     *os.File
	out      *bufio.Writer
	table    *report.CaptureTable
	book     *account.Book
	own      func(*record.Capture) findings.Counts // of findings on the part in hand
	whole    func(*record.Capture) findings.Counts // of findings on the survey that name the capture
	repeated map[string]findings.Counts            // of findings on captures of keys that are repeated
	idle     sync.Pool                             // of *capturesRows
	err      error                                 // what could not be written

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

// begin takes the findings on the captures that come next.
func (t *capturesTable) begin(fs []record.Finding) {
	t.own = findings.CountByCapture(slices.Values(fs))
}

// counts are the numbers of findings on a capture.
func (t *capturesTable) counts(c *record.Capture) findings.Counts {
	n, several := t.repeated[c.Key]
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
	r.became = report.ReadingCount{}
	return r
}

// Rows implements darwincore.Reader.
func (r *capturesRows) Rows(c *record.Capture, core, facts darwincore.Cut) {
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

func (w *walk) newTable() (*capturesTable, error) {
	f, err := os.Create(filepath.Join(w.out, capturesFile))
	if err != nil {
		return nil, err
	}
	columns := &w.verdicts.quality.columns.table
	if len(w.before) > 0 {
		columns.Add(&record.Capture{Values: []record.Value{{Field: record.Of(recaptures.Term)}}})
	}
	for _, r := range w.verdicts.inference.Kinds() {
		columns.Add(&record.Capture{Readings: []record.Reading{r}})
	}
	t := &capturesTable{file: f, out: bufio.NewWriterSize(f, 1<<16), table: columns.Table(terms.Sort, w.survey.Measures().Sort), book: w.book,
		whole: findings.CountByCapture(slices.Values(w.whole)), repeated: w.repeated.counts}
	_, err = t.out.Write(t.table.Header())
	return t, err
}
