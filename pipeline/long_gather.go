package pipeline

import (
	"errors"
	"slices"
	"sync"

	"golang.org/x/sync/errgroup"

	"spadefoot/pipeline/normalise"
	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/shelf"
	"spadefoot/pipeline/weigh"
)

// mostSpots bounds the places that the survey's region is taken from.
const mostSpots = 20_000

// learned is what the first pass learns of the survey, in bounded room.
type learned struct {
	size     int // captures of a part
	sum      *screen.Summary
	screened screen.Settings
	weighed  weigh.Settings
	tares    tares
	keys     *shelf.Twins
	contents *shelf.Twins // of captures, where there are two sheets or more
	sizes    map[source]int
	doubles  *screen.Doubles
	marks    *screen.Marks
	marked   *shelf.Twins // the marks of animals
	read     positions
	spots    []place.LatLon // of every step-th capture with a place
	step     int
	placed   int
}

func (g *learned) open(w *way) (err error) {
	g.keys, g.contents, g.marked = shelf.NewTwins(w.temp), shelf.NewTwins(w.temp), shelf.NewTwins(w.temp)
	g.doubles, g.marks = screen.NewDoubles(w.temp), screen.NewMarks(w.temp)
	if g.screened, err = w.screenSettings(); err != nil {
		return err
	}
	if g.weighed, err = w.weighSettings(); err != nil {
		return err
	}
	g.sum = screen.NewSummary(g.screened)
	g.tares = tares{}
	g.sizes = map[source]int{}
	g.read, g.step = positions{}, 1
	return nil
}

func (g *learned) close() error {
	return errors.Join(g.keys.Close(), g.contents.Close(), g.marked.Close(), g.doubles.Close(), g.marks.Close())
}

// gather reads the survey once: sheets to captures, each named and weighed, on
// the shelf, and what judging them needs to know of all. What has been read is
// shelved while the reading goes on.
func (l *long) gather() error {
	in := &intake{long: l, shelving: *l.way, batches: make(chan batch, 1), failed: make(chan error, 1)}
	l.intake = in
	var shelver sync.WaitGroup
	shelver.Go(in.work)
	err := l.readAll()
	close(in.batches)
	shelver.Wait()
	select {
	case failed := <-in.failed:
		return failed
	default:
	}
	if err != nil {
		return err
	}
	l.counts.Captures, l.counts.Absences = in.shelving.counts.Captures, in.shelving.counts.Absences
	return l.sameKeys()
}

func (l *long) readAll() error {
	for i, ref := range l.survey.Sheets {
		if err := l.readSheet(i, ref); err != nil {
			return err
		}
	}
	return l.handOver()
}

// batch is what was read of some rows: captures, what was found in them, and
// what is told of them with other cells; and the tables that there are so far.
type batch struct {
	captures     []*record.Capture
	found, aside []record.Finding
	laid         []tableOf
	leases       []normalise.Lease // of the captures' memory
}

// intake shelves batches in a goroutine of its own, with a way of its own for
// the batch in hand.
type intake struct {
	long     *long
	shelving way
	waiting  batch
	batches  chan batch
	failed   chan error
}

// work shelves until there is nothing more to come. After an error what comes is
// thrown away, and the reader told.
func (in *intake) work() {
	for b := range in.batches {
		if err := in.shelve(b); err != nil {
			in.failed <- err
			for range in.batches {
			}
			return
		}
	}
}

// take adds what was read to what waits, and hands it over when there is enough
// for a part.
func (l *long) take(captures []*record.Capture, fs, aside []record.Finding) error {
	w := &l.intake.waiting
	w.captures, w.found, w.aside = append(w.captures, captures...), append(w.found, fs...), append(w.aside, aside...)
	if len(w.captures) < l.learned.size {
		return nil
	}
	return l.handOver()
}

// handOver makes a part of what waits.
func (l *long) handOver() error {
	b := l.intake.waiting
	l.intake.waiting = batch{}
	if len(b.captures) == 0 && len(b.found) == 0 && len(b.aside) == 0 {
		return nil
	}
	b.laid = slices.Clone(l.laid)
	select {
	case err := <-l.intake.failed:
		l.intake.failed <- err
		return err
	case l.intake.batches <- b:
		return l.ctx.Err()
	}
}

// shelve makes a part of a batch: every capture named and weighed.
func (in *intake) shelve(b batch) error {
	l, w := in.long, &in.shelving
	w.captures, w.findings, w.settled, w.laid = b.captures, b.found, 0, b.laid
	from := l.shelf.Captures()
	for i, c := range w.captures {
		if err := w.name(c, from+i, l.learned.keys); err != nil {
			return err
		}
	}
	animals := w.animals()
	w.counts.Captures += len(w.captures)
	w.counts.Absences += len(w.captures) - len(animals)
	w.eachCapture(animals, func(c *record.Capture) []record.Finding { return weigh.Weigh(c, w.tables.bags, l.learned.weighed) })
	w.settle()
	found := w.findings
	w.findings, w.settled = b.aside, 0
	w.settle()
	l.runs, l.spans = append(l.runs, nil), append(l.spans, spansOf(w.captures))
	var beside errgroup.Group // none of them changes a capture
	beside.Go(func() error { return errors.Join(l.read.Add(found), l.aside.Add(w.findings), l.shelf.Add(w.captures)) })
	beside.Go(func() error {
		for _, c := range animals {
			l.learned.sum.Add(c)
		}
		return nil
	})
	beside.Go(func() error { return l.learn(w.captures, from) })
	err := beside.Wait()
	w.captures, w.findings = nil, nil
	for _, lease := range b.leases {
		lease.End()
	}
	return err
}

// learn lets the rooms gather what they need of the captures of a part.
func (l *long) learn(captures []*record.Capture, from int) error {
	g := &l.learned
	for i, c := range captures {
		g.spot(c)
		if err := l.sayTwice(c, from+i); err != nil {
			return err
		}
		if c.Absent() {
			continue
		}
		g.tares.add(c)
		if mark := c.Get("organismID"); mark != "" {
			if err := g.marked.Add(mark, from+i); err != nil {
				return err
			}
		}
		if err := errors.Join(g.doubles.Add(from+i, c), g.marks.Add(from+i, c)); err != nil {
			return err
		}
	}
	return nil
}

// spot remembers the place of every step-th capture that has one; when they
// are too many, of every second of them.
func (g *learned) spot(c *record.Capture) {
	p := g.read.of(c)
	if !p.Known() {
		return
	}
	if g.placed++; (g.placed-1)%g.step != 0 {
		return
	}
	g.spots = append(g.spots, place.LatLon{Latitude: p.Latitude, Longitude: p.Longitude})
	if len(g.spots) > mostSpots {
		kept := g.spots[:0]
		for i := 0; i < len(g.spots); i += 2 {
			kept = append(kept, g.spots[i])
		}
		g.spots = kept
		g.step *= 2
	}
}
