package pipeline

import (
	"errors"
	"slices"

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
	waiting  []*record.Capture // read and not yet a part
	found    []record.Finding  // with them
	aside    []record.Finding  // with them, told of other cells
	size     int               // captures of a part
	sum      *screen.Summary
	screened screen.Settings
	weighed  weigh.Settings
	tares    map[string]*weigh.TareSummary
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
	g.screened = screen.Defaults()
	if err := decode(w.survey.Rules.Screen, &g.screened, "rules.screen"); err != nil {
		return err
	}
	if g.weighed, err = w.weighSettings(); err != nil {
		return err
	}
	g.sum = screen.NewSummary(g.screened)
	g.tares = map[string]*weigh.TareSummary{}
	g.sizes = map[source]int{}
	g.keys, g.contents, g.marked = shelf.NewTwins(w.temp), shelf.NewTwins(w.temp), shelf.NewTwins(w.temp)
	g.doubles, g.marks = screen.NewDoubles(w.temp), screen.NewMarks(w.temp)
	g.read, g.step = positions{}, 1
	return nil
}

func (g *learned) close() error {
	return errors.Join(g.keys.Close(), g.contents.Close(), g.marked.Close(), g.doubles.Close(), g.marks.Close())
}

// gather reads the survey once: sheets to captures, each named and weighed, on
// the shelf, and what judging them needs to know of all.
func (l *long) gather() error {
	for i, ref := range l.survey.Sheets {
		if err := l.readSheet(i, ref); err != nil {
			return err
		}
	}
	if err := l.shelve(); err != nil {
		return err
	}
	if err := l.sameKeys(); err != nil {
		return err
	}
	return nil
}

// take adds captures with what was found in their rows, and what is told of
// them with other cells, and shelves them when there are enough for a part.
func (l *long) take(captures []*record.Capture, fs, aside []record.Finding) error {
	g := &l.learned
	g.waiting, g.found, g.aside = append(g.waiting, captures...), append(g.found, fs...), append(g.aside, aside...)
	if len(g.waiting) < g.size {
		return nil
	}
	return l.shelve()
}

// shelve makes a part of the captures that wait.
func (l *long) shelve() error {
	g := &l.learned
	if len(g.waiting) == 0 && len(g.found) == 0 {
		return nil
	}
	l.captures, l.findings, l.settled = g.waiting, g.found, 0
	from := l.shelf.Captures()
	for i, c := range l.captures {
		if err := l.name(c, from+i); err != nil {
			return err
		}
	}
	animals := l.animals()
	l.counts.Captures += len(l.captures)
	l.counts.Absences += len(l.captures) - len(animals)
	l.eachCapture(animals, func(c *record.Capture) []record.Finding { return weigh.Weigh(c, l.tables.bags, g.weighed) })
	if err := l.learn(from); err != nil {
		return err
	}
	l.settle()
	found := l.findings
	l.findings, l.settled = g.aside, 0
	l.settle()
	if err := errors.Join(l.read.Add(found), l.aside.Add(l.findings), l.shelf.Add(l.captures)); err != nil {
		return err
	}
	l.runs, l.spans = append(l.runs, nil), append(l.spans, spansOf(l.captures))
	clear(g.waiting)
	g.waiting, g.found, g.aside = g.waiting[:0], g.found[:0], g.aside[:0]
	return l.ctx.Err()
}

// learn lets the rooms gather what they need of the captures in hand.
func (l *long) learn(from int) error {
	g := &l.learned
	for i, c := range l.captures {
		g.spot(c)
		if err := l.sayTwice(c, from+i); err != nil {
			return err
		}
		if c.Absent() {
			continue
		}
		key := tareGroup(c)
		if g.tares[key] == nil {
			g.tares[key] = &weigh.TareSummary{}
		}
		g.tares[key].AddCapture(c)
		g.sum.Add(c)
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

// sayTwice notes what was written of a capture, where two sheets may say the
// same.
func (l *long) sayTwice(c *record.Capture, ordinal int) error {
	g := &l.learned
	g.sizes[source{c.File, ""}]++
	if c.Sheet != "" {
		g.sizes[source{c.File, c.Sheet}]++
	}
	if len(l.survey.Sheets) < 2 && c.Sheet == "" {
		return nil // one text file
	}
	if contents, enough := saidOf(c); enough {
		return g.contents.Add(contents, ordinal)
	}
	return nil
}

// sameContents pairs the captures of different sheets in which the same was
// written, as way.sameContents does.
func (l *long) sameContents() (out [][2]record.Address, err error) {
	type twin struct {
		ordinal int
		pair    [2]record.Address
	}
	var all []twin
	for group, err := range l.learned.contents.Groups() {
		if err != nil {
			return nil, err
		}
		before := map[string][]record.Address{}
		for _, n := range group {
			c, err := l.shelf.Find(n)
			if err != nil {
				return nil, err
			}
			contents, _ := saidOf(c)
			for _, p := range firstOfEach(before[contents], c.Address()) {
				all = append(all, twin{n, [2]record.Address{p, c.Address()}})
			}
			before[contents] = append(before[contents], c.Address())
		}
	}
	slices.SortStableFunc(all, func(a, b twin) int { return a.ordinal - b.ordinal })
	for _, t := range all {
		out = append(out, t.pair)
	}
	return out, nil
}
