package pipeline

import (
	"context"
	"errors"
	"os"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/shelf"
)

// A survey of more than wholeRows rows is walked in parts: it is read once,
// put on a shelf on disk, and each later pass takes down one part of
// partCaptures consecutive captures after the other. Nothing is kept of a part
// but what the rooms gather in bounded room, so that memory hardly grows with
// the survey. A survey of fewer rows is one part, held in memory.
//
// In parts, what is looked for among neighbouring captures (a slip that many
// share, rows that slid) is looked for within each part; what is compared with
// the whole survey (groups, lines, repeats, recaptures, keys) is compared with
// the whole survey.
const (
	wholeRows    = 20_000
	partCaptures = 2_048
	mostHeld     = 200_000 // rows that are held in memory where they cannot be walked in parts
)

// long is the walk of a survey in parts. The way in it holds what is known of
// the whole survey and, in captures and findings, the part in hand.
type long struct {
	*way
	shelf *shelf.Shelf
	// read holds the findings of reading and weighing, aside those of them
	// that are told with another cell of the same cause, judged all that is
	// told of single captures. Run i of each is of part i; judged has more.
	read, aside, judged *shelf.Pile
	hands               [2]shelf.Hand
	runs                [][]int // of judged, by part

	learned  learned
	intake   *intake
	repeated repeated
	region   place.Region
	verdicts verdicts
	animal   []int            // number of the first animal of each part
	whole    []record.Finding // told of the survey and not of a part
	before   map[int]int      // of a marked animal's capture the one before it
	failed   error            // of the captures as they are given one by one

	gathering *report.Gather
	became    readingCount
	at        map[record.Address]int // of the rows in hand, the index of the capture
	spans     [][]span               // of each part
	anywhere  bool                   // rows may be asked for that are not in hand
}

// longer reports whether the survey is to be walked in parts: it has more than
// wholeRows rows, and nothing that needs all of its captures or cells at once.
func (w *way) longer(o Options) (bool, error) {
	if o.Whole || len(w.decided.given) > 0 || len(w.sensitive.rules) > 0 {
		return false, nil
	}
	bound := wholeRows
	if o.wholeRows > 0 {
		bound = o.wholeRows
	}
	rows, err := w.rows(bound)
	return rows > bound, err
}

// toldTooLate reports whether a walk in parts ended since rows further down are
// not as the first ones said.
func toldTooLate(err error) bool {
	var layout *layout.Error
	var label *mapping.NewLabel
	return errors.As(err, &layout) || errors.As(err, &label)
}

// runLong walks the whole way in parts.
func (w *way) runLong(ctx context.Context, o Options) (err error) {
	l := &long{way: w}
	l.learned.size = partCaptures
	if o.partRows > 0 {
		l.learned.size = o.partRows
	}
	w.ctx = ctx
	defer func() { err = errors.Join(err, l.close()) }()
	if err := l.open(); err != nil {
		return &OutputError{w.out, err}
	}
	for _, s := range []struct {
		name string
		do   func() error
	}{
		{"read", l.gather}, {"screen", l.judge}, {"infer", l.conclude}, {"standardise", l.standardise},
		{"prove", l.proveAll}, {"report", l.writeReport},
	} {
		if err := ctx.Err(); err != nil {
			return errStopped(s.name, err)
		}
		if w.progress != nil {
			w.progress(s.name)
		}
		if err := s.do(); err != nil {
			return l.blame(err)
		}
	}
	return nil
}

// open makes the files that the walk works in.
func (l *long) open() (err error) {
	if l.shelf, err = shelf.New(l.temp); err != nil {
		return err
	}
	for _, p := range []**shelf.Pile{&l.read, &l.aside, &l.judged} {
		if *p, err = shelf.NewPile(l.temp); err != nil {
			return err
		}
	}
	return l.learned.open(l.way)
}

func (l *long) close() error {
	return errors.Join(l.shelf.Close(), l.read.Close(), l.aside.Close(), l.judged.Close(), l.learned.close())
}

// blame says of an error of the walk's own files that the outputs cannot be
// written.
func (l *long) blame(err error) error {
	var file *os.PathError
	var input *InputError
	if errors.As(err, &file) && !errors.As(err, &input) && !errors.As(err, new(*OutputError)) {
		return &OutputError{l.out, err}
	}
	return err
}

// eachPart makes one part after the other the one in hand, and takes the next
// one down meanwhile.
func (l *long) eachPart(do func(i int) error) error {
	type taken struct {
		captures []*record.Capture
		err      error
	}
	take := func(i int) <-chan taken {
		next := make(chan taken, 1)
		go func() {
			captures, err := l.shelf.Take(i, &l.hands[i%2])
			next <- taken{captures, err}
		}()
		return next
	}
	n := l.shelf.Parts()
	if n == 0 {
		return nil
	}
	waiting := take(0)
	for i := range n {
		t := <-waiting
		if i+1 < n {
			waiting = take(i + 1)
		}
		err := errors.Join(t.err, l.ctx.Err())
		if err == nil {
			l.captures, l.findings, l.settled = t.captures, nil, 0
			err = do(i)
		}
		if err != nil {
			if i+1 < n {
				<-waiting
			}
			return err
		}
	}
	return nil
}
