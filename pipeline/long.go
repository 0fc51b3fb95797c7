package pipeline

import (
	"cmp"
	"context"
	"errors"
	"fmt"
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
	hands               *[3]shelf.Hand
	changed             []bool  // by part: judging gave captures other identifiers or values
	vain                []bool  // by part: what was found is not the last word
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
	sample    sample
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

// longStage is one step of the walk in parts.
type longStage struct {
	name string
	do   func(*long) error
}

var (
	longJudged    = []longStage{{"read", (*long).gather}, {"screen", (*long).judge}, {"infer", (*long).conclude}}
	longPublished = []longStage{{"standardise", (*long).standardise}, {"prove", (*long).proveAll}, {"report", (*long).writeReport}}
)

// walkLong walks in parts.
func (w *way) walkLong(ctx context.Context, o Options, stages []longStage) (err error) {
	l := &long{way: w, hands: &[3]shelf.Hand{}}
	l.learned.size = partCaptures
	if o.partRows > 0 {
		l.learned.size = o.partRows
	}
	defer func() { err = errors.Join(err, l.close()) }()
	if err := l.open(); err != nil {
		return l.blame(err)
	}
	for _, s := range stages {
		if err := w.enter(ctx, s.name); err != nil {
			return err
		}
		switch err := s.do(l); {
		case err != nil && ctx.Err() != nil:
			return fmt.Errorf("stopped in the stage %q: %w", s.name, ctx.Err())
		case err != nil:
			return l.blame(err)
		}
	}
	return l.count()
}

// count counts the findings, if writing them has not.
func (l *long) count() error {
	var failed error
	if l.tally.ByRule == nil {
		for range l.counting(&failed) {
		}
	}
	l.captures, l.findings = nil, nil
	return failed
}

// open makes the files that the walk works in.
func (l *long) open() (err error) {
	if err := l.learned.open(l.way); err != nil {
		return err
	}
	if l.shelf, err = shelf.New(l.temp); err != nil {
		return err
	}
	for _, p := range []**shelf.Pile{&l.read, &l.aside, &l.judged} {
		if *p, err = shelf.NewPile(l.temp); err != nil {
			return err
		}
	}
	return nil
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
		return &OutputError{Path: cmp.Or(l.out, l.temp), Err: err}
	}
	return err
}

// eachPart takes one part after the other in hand for two steps of work: while
// then works on one, first works on the next with a walk of its own, and the one
// behind is taken down. First may be nil.
func (l *long) eachPart(first func(l *long, i int) error, then func(i int) error) error {
	way, stop := *l.way, make(chan struct{})
	ahead := *l
	ahead.way = &way
	ready := make(chan handed)
	go func() {
		defer close(ready)
		ahead.workAhead(first, ready, stop)
	}()
	var err error
	for h := range ready {
		if err = h.err; err == nil {
			l.captures, l.findings, l.settled = h.captures, h.findings, h.settled
			err = then(h.part)
		}
		if err != nil {
			break
		}
	}
	close(stop)
	for range ready { // the other walk ends before this one goes on
	}
	return err
}

// handed is a part as one step of work hands it to the next.
type handed struct {
	part     int
	captures []*record.Capture
	findings []record.Finding
	settled  int
	err      error
}

// workAhead takes parts down, the next one while one is worked on, and hands
// them on in their order. No more than three are in hand.
func (l *long) workAhead(first func(l *long, i int) error, ready chan<- handed, stop <-chan struct{}) {
	n := l.shelf.Parts()
	take := func(i int) <-chan handed {
		next := make(chan handed, 1)
		go func() {
			if i < n {
				captures, err := l.shelf.Take(i, &l.hands[i%len(l.hands)])
				next <- handed{part: i, captures: captures, err: err}
			}
			close(next)
		}()
		return next
	}
	waiting := take(0)
	defer func() { <-waiting }()
	for i := range n {
		h := <-waiting
		waiting = take(i + 1)
		if h.err = errors.Join(h.err, l.ctx.Err()); h.err == nil && first != nil {
			l.captures, l.findings, l.settled = h.captures, nil, 0
			h.err = first(l, i)
			h.findings, h.settled = l.findings, l.settled
		}
		select {
		case ready <- h:
		case <-stop:
			return
		}
		if h.err != nil {
			return
		}
	}
}
