package pipeline

import (
	"errors"
	"io"
	"iter"
	"path/filepath"

	"golang.org/x/sync/errgroup"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/lanes"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/shelf"
)

const capturesFile = "captures.csv"

// standardise is the third pass: every part with the readings of condition
// into the archive, the table of captures and what the page is made from.
func (l *long) standardise() error {
	if err := l.linkMarks(); err != nil {
		return err
	}
	archive, err := darwincore.Create(l.out, l.dataset(), label)
	if err != nil {
		return l.archiveError(err)
	}
	defer archive.Discard()
	archive.Expect(l.columns())
	table, err := l.newTable()
	if err != nil {
		return &OutputError{Path: capturesFile, Err: err}
	}
	defer table.file.Close()
	l.gathering = newGather(l.rowInHand)
	if err := l.eachPart((*long).finish, func(int) error { return l.publishPart(archive, table) }); err != nil {
		return err
	}
	if err := table.close(); err != nil {
		return &OutputError{Path: capturesFile, Err: err}
	}
	counts, err := archive.Close()
	if err != nil {
		return l.archiveError(err)
	}
	l.counts.Occurrences, l.counts.Measurements, l.counts.Media = counts.Occurrences, counts.Measurements, counts.Media
	l.written = append(l.written, darwincore.Folder, darwincore.Zip, capturesFile)
	return errors.Join(l.packageOf(l.all()), failure(l.failed))
}

// columns are those that the archive is going to have: what was gathered when
// its rows were judged, and what is added since.
func (l *long) columns() *darwincore.Columns {
	columns := l.verdicts.quality.columns
	if len(l.before) > 0 {
		columns.Add(recaptureTerm)
	}
	if len(l.verdicts.inference.Kinds()) > 0 {
		for _, term := range []string{"measurementAccuracy", "measurementMethod", "measurementRemarks"} {
			columns.Add(term)
		}
	}
	return columns
}

// publishPart publishes the part in hand.
func (l *long) publishPart(archive *darwincore.Archive, table *capturesTable) error {
	var beside errgroup.Group // none of them changes a capture
	beside.Go(func() error {
		if err := table.add(l.captures, l.findings); err != nil {
			return &OutputError{Path: capturesFile, Err: err}
		}
		return nil
	})
	beside.Go(func() error {
		for _, c := range l.captures {
			l.became.add(c)
			if err := l.sample.add(c); err != nil {
				return err
			}
		}
		clear(l.at)
		l.gathering.Add(l.captures, l.findings)
		return nil
	})
	err := archive.AddPart(l.captures)
	if other := beside.Wait(); err == nil {
		return other
	}
	return l.archiveError(err)
}

// finish makes the part in hand what is published: with its findings, the
// doubts beside its readings, and the readings of condition.
func (l *long) finish(i int) error {
	for _, n := range l.runs[i] {
		fs, err := l.judged.Run(n)
		if err != nil {
			return err
		}
		l.findings = append(l.findings, fs...)
	}
	record.SortFindings(l.findings)
	aside, err := l.aside.Run(i)
	if err != nil {
		return err
	}
	type numbered struct {
		c *record.Capture
		n int
	}
	animals := func(yield func(numbered) bool) {
		n := l.animal[i]
		for _, c := range l.captures {
			if !c.Absent() {
				if !yield(numbered{c, n}) {
					return
				}
				n++
			}
		}
	}
	_ = lanes.InOrder(animals, func(some []numbered) struct{} {
		for _, a := range some {
			a.c.Readings = append(a.c.Readings, l.verdicts.inference.Readings(a.n, a.c)...)
		}
		return struct{}{}
	}, func(struct{}) error { return nil })
	l.doubts(aside...)
	return l.linkPart(i)
}

// all gives the captures as they are published, one after the other.
func (l *long) all() iter.Seq[*record.Capture] {
	return func(yield func(*record.Capture) bool) {
		l.failed = l.eachPart((*long).finish, func(int) error {
			for _, c := range l.captures {
				if !yield(c) {
					return errEnough
				}
			}
			return nil
		})
	}
}

// failure leaves out that a reader had enough.
func failure(err error) error {
	if errors.Is(err, errEnough) {
		return nil
	}
	return err
}

func (w *way) archiveError(err error) error {
	var incomplete *darwincore.IncompleteError
	if errors.As(err, &incomplete) {
		return &CallError{err.Error()}
	}
	return &OutputError{Path: w.out, Err: err}
}

// proveAll proves what was published, and adds what is found to the findings.
func (l *long) proveAll() error {
	l.captures, l.findings, l.settled = nil, nil, 0
	l.verdicts, l.hands, l.before = verdicts{}, &[3]shelf.Hand{}, nil // not needed any more
	l.learned.read, l.learned.tares, l.learned.spots = nil, nil, nil
	if err := l.sample.check(); err != nil {
		return err
	}
	if err := l.prove(); err != nil {
		return err
	}
	l.settle()
	record.SortFindings(l.findings)
	l.whole = append(l.whole, l.findings...)
	return l.judged.Add(l.findings)
}

// writeReport writes the findings in the order of the outputs, and what is made
// from what was gathered.
func (l *long) writeReport() error {
	var failed error
	l.anywhere = true
	record.SortFindings(l.whole)
	l.gathering.End(l.whole)
	page := l.pageOf(l.gathering, l.became)
	for _, f := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{"findings.csv", func(o io.Writer) error { return report.EachFindingCSV(o, l.counting(&failed)) }},
		{"findings.json", func(o io.Writer) error { return report.EachFindingJSON(o, l.tally.Levels, l.inOrder(&failed)) }},
		{"run.json", l.writeRun},
		{"report.html", func(o io.Writer) error { return report.HTML(o, page) }},
	} {
		l.written = append(l.written, f.name)
		if err := errors.Join(output.WriteFile(filepath.Join(l.out, f.name), f.write), failed); err != nil {
			return &OutputError{Path: f.name, Err: err}
		}
	}
	return nil
}

// counting gives all findings in the order of the outputs, and counts them.
func (l *long) counting(failed *error) iter.Seq[record.Finding] {
	return func(yield func(record.Finding) bool) {
		for f := range l.inOrder(failed) {
			l.tally.add(&f)
			if !yield(f) {
				return
			}
		}
	}
}

// inOrder gives all findings in the order of the outputs.
func (l *long) inOrder(failed *error) iter.Seq[record.Finding] {
	return func(yield func(record.Finding) bool) {
		for f, err := range l.judged.All() {
			if err != nil {
				*failed = err
				return
			}
			if !yield(f) {
				return
			}
		}
	}
}
