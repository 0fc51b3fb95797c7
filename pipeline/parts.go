package pipeline

import (
	"cmp"
	"errors"
	"iter"
	"math"
	"os"
	"slices"

	"spadefoot/pipeline/keys"
	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/place/located"
	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/store"
	"spadefoot/pipeline/survey/size"
	"spadefoot/pipeline/weigh"
)

// A survey is walked part by part. One of up to wholeRows rows is a single part
// that is held in memory. A larger one is read once, put into a store on disk in
// parts of partCaptures consecutive captures, and each later pass reads back one
// part after the other. Nothing is kept of a part but what the rooms gather in
// bounded memory, so that memory hardly grows with the survey.
//
// What is looked for among neighbouring captures (rows that shifted, that were
// exchanged) is looked for within each part and in the captures next to it; what is
// compared with the whole survey (groups, lines, repeats, recaptures, keys, slips that
// many share) is compared with the whole survey.
const (
	wholeRows    = 20_000
	partCaptures = 2_048
	maxHeld      = 200_000 // rows that are held in memory where they cannot be walked in parts
)

// settleSize settles whether the survey is held as one part: it has no more than
// wholeRows rows.
func (w *walk) settleSize(o Options) error {
	if err := size.WithinLines(w.survey, w.inputs.Path); err != nil {
		return err
	}
	rows, err := size.Rows(w.survey, w.inputs.Path, cmp.Or(o.wholeRows, wholeRows))
	if err != nil {
		return err
	}
	w.held = rows <= cmp.Or(o.wholeRows, wholeRows)
	w.partRows, w.windowRows = cmp.Or(o.partRows, partCaptures), cmp.Or(o.windowRows, wholeRows)
	if w.held {
		w.partRows = math.MaxInt
	}
	return nil
}

// layoutChanged reports whether a walk in parts ended because rows further down are
// laid out otherwise than the first ones.
func layoutChanged(err error) bool {
	return errors.As(err, new(*layout.Error)) || errors.As(err, new(*mapping.NewLabel))
}

// open makes what the survey is kept in: in memory, or files.
func (w *walk) open() (err error) {
	if err := w.learned.open(w); err != nil {
		return err
	}
	return w.openStores()
}

func (w *walk) openStores() (err error) {
	w.buffers = &[3]store.Buffer{}
	if w.inMemory() {
		w.store, w.fromReading = store.InMemory(), store.FindingsInMemory()
	} else if w.store, err = store.New(w.temp); err != nil {
		return err
	} else if w.fromReading, err = store.NewFindings(w.temp); err != nil {
		return err
	}
	w.judged, w.aside, err = w.newFindings()
	return err
}

// inMemory reports whether captures and findings are kept in memory.
func (w *walk) inMemory() bool { return w.held && !w.inspecting }

// newFindings makes the stores of what is judged, and of what is reported with another
// cell.
func (w *walk) newFindings() (judged, aside *store.Findings, err error) {
	if judged, err = w.findingsStore(); err != nil {
		return nil, nil, err
	}
	aside, err = w.findingsStore()
	return judged, aside, err
}

func (w *walk) findingsStore() (*store.Findings, error) {
	if w.inMemory() {
		return store.FindingsInMemory(), nil
	}
	return store.NewFindings(w.temp)
}

// close releases what it is kept in.
func (w *walk) close(err *error) {
	*err = errors.Join(*err, w.store.Close(), w.fromReading.Close(), w.aside.Close(), w.judged.Close(), w.tested.Close(), w.learned.close(), w.seasonal.close())
}

// blame says whose an error of a file is: that of the outputs where the run
// works in it, else that of an input.
func (w *walk) blame(err error) error {
	file, ok := errors.AsType[*os.PathError](err)
	if !ok || errors.As(err, new(*InputError)) || errors.As(err, new(*OutputError)) {
		return err
	}
	if !output.Below(file.Path, w.folder) && (output.Below(file.Path, w.out) || output.Below(file.Path, w.temp)) {
		return &OutputError{Path: cmp.Or(w.out, w.temp), Err: err}
	}
	return &InputError{File: file.Path, Err: err}
}

// eachPart takes one part after the other in hand for two steps of work: while
// then works on one, first works on the next with its own walk, and the one
// behind is read back. First may be nil.
func (w *walk) eachPart(first func(w *walk, i int) error, then func(i int) error) error {
	ahead, stop := *w, make(chan struct{})
	ready := make(chan handover)
	go func() {
		defer close(ready)
		ahead.workAhead(first, ready, stop)
	}()
	var err error
	for h := range ready {
		if err = h.err; err == nil {
			w.captures, w.findings, w.settled, w.sharing = h.captures, h.findings, h.settled, h.sharing
			err = then(h.part)
			w.showProgress(h.part+1, w.store.Parts())
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

// handover is a part as one step of work passes it to the next.
type handover struct {
	part     int
	captures []*record.Capture
	findings []record.Finding
	settled  int
	sharing  map[record.Address]bool
	err      error
}

// workAhead reads parts back, the next one while one is worked on, and hands
// them on in their order. No more than three are in hand.
func (w *walk) workAhead(first func(w *walk, i int) error, ready chan<- handover, stop <-chan struct{}) {
	w.last = nil
	n := w.store.Parts()
	take := func(i int) <-chan handover {
		next := make(chan handover, 1)
		go func() {
			if i < n {
				captures, err := w.store.Take(i, &w.buffers[i%len(w.buffers)])
				next <- handover{part: i, captures: captures, err: err}
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
		if h.err = errors.Join(h.err, w.ctx.Err()); h.err == nil && first != nil {
			next := <-waiting // the part is judged together with the beginning of the next
			again := make(chan handover, 1)
			again <- next
			waiting = again
			w.captures, w.next, w.findings, w.settled, w.sharing = h.captures, next.captures, nil, 0, nil
			h.err = first(w, i)
			h.findings, h.settled, h.sharing = w.findings, w.settled, w.sharing
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

// takeAll takes the one part of a survey that is held in hand, with all that is
// in a store.
func (w *walk) takeAll(found *store.Findings) (err error) {
	if w.captures, err = w.store.Take(0, &w.buffers[0]); err != nil {
		return err
	}
	w.findings, w.settled = nil, 0
	for f := range w.inOrder(found, &err) {
		w.findings = append(w.findings, f)
	}
	w.settled = len(w.findings)
	return err
}

// inOrder returns all findings of a store in the order of the outputs.
func (w *walk) inOrder(found *store.Findings, failed *error) iter.Seq[record.Finding] {
	return func(yield func(record.Finding) bool) {
		for f, err := range found.All() {
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

// count counts the findings, if writing them has not. Of a survey that is held
// captures and findings are given.
func (w *walk) count() error {
	var failed error
	if w.tally.ByRule == nil {
		for range w.counting(&failed) {
		}
	}
	w.captures, w.findings = nil, nil
	if w.inMemory() && failed == nil {
		failed = w.takeAll(w.judged)
	}
	return failed
}

// counting returns all findings in the order of the outputs, and counts them.
func (w *walk) counting(failed *error) iter.Seq[record.Finding] {
	return func(yield func(record.Finding) bool) {
		for f := range w.inOrder(w.judged, failed) {
			w.tally.Add(&f)
			if !yield(f) {
				return
			}
		}
	}
}

// showProgress shows how many parts of a survey of several are done.
func (w *walk) showProgress(done, all int) {
	if w.parted != nil && !w.held {
		w.parted(done, all)
	}
}

// recall takes the findings of the part in hand.
func (w *walk) recall(i int) error {
	for _, n := range w.runs[i] {
		fs, err := w.judged.Run(n)
		if err != nil {
			return err
		}
		w.findings = append(w.findings, fs...)
	}
	record.SortFindings(w.findings)
	return nil
}

// animals are the captures of animals. The others say that somebody looked and
// found none: they are published, and there is nothing of them to measure.
func (w *walk) animals() []*record.Capture { return animalsAmong(w.captures) }

func animalsAmong(captures []*record.Capture) []*record.Capture {
	out := make([]*record.Capture, 0, len(captures))
	for _, c := range captures {
		if !c.Absent() {
			out = append(out, c)
		}
	}
	return out
}

// spansOf are the runs of rows that captures are in.
func spansOf(captures []*record.Capture) []span {
	var out []span
	for _, c := range captures {
		n := len(out) - 1
		if n < 0 || out[n].file != c.File || out[n].sheet != c.Sheet {
			at := c.Address().Clone()
			out = append(out, span{at.File, at.Sheet, at.Row, at.Row})
			continue
		}
		out[n].first, out[n].last = min(out[n].first, c.Row), max(out[n].last, c.Row)
	}
	return out
}

// partOf is the part whose captures are in the row of a cell, or next below
// it in its sheet; -1 for none.
func (w *walk) partOf(a record.Address) int {
	best, below := -1, math.MaxInt
	for i, spans := range w.spans {
		for _, s := range spans {
			switch {
			case s.file != a.File || s.sheet != a.Sheet || a.Row > s.last:
			case a.Row >= s.first:
				return i
			case s.first < below:
				best, below = i, s.first
			}
		}
	}
	return best
}

// within reports whether a cell is among the rows of a part, and above none
// that a label could be above too.
func (w *walk) within(i int, a record.Address) bool {
	for _, s := range w.spans[i] {
		if s.file == a.File && s.sheet == a.Sheet && s.first <= a.Row && a.Row <= s.last {
			return slices.ContainsFunc(w.captures, func(c *record.Capture) bool { return c.Row == a.Row })
		}
	}
	return false
}

// fetchAnywhere has rows of any part fetched from here on, not only those in hand.
func (w *walk) fetchAnywhere() { w.anywhere, w.fetched = true, -1 }

// fetch reads back the part that holds a row, unless it was the last one fetched.
func (w *walk) fetch(a record.Address) bool {
	i := w.partOf(a)
	if i < 0 || i == w.fetched {
		return i >= 0
	}
	captures, err := w.store.Take(i, &w.buffers[0])
	if err != nil {
		return false // the row is not shown; the finding is
	}
	w.captures, w.fetched = captures, i
	clear(w.at)
	return true
}

// tableWith is the table that a capture is in, or nil.
func (w *walk) tableWith(c *record.Capture) *tableOf {
	for _, t := range w.laid {
		if t.table.File == c.File && t.table.Sheet == c.Sheet && t.table.Index == c.Table {
			return t
		}
	}
	return nil
}

// columnsOf are the columns of the table that a capture is in; none where
// animals stand as columns.
func (w *walk) columnsOf(c *record.Capture) []record.Column {
	if t := w.tableWith(c); t != nil && !t.table.Transposed {
		return t.table.Columns
	}
	return nil
}

func (g *learned) open(w *walk) (err error) {
	g.keys, g.contents, g.marked = store.NewEqualTexts(w.temp), store.NewEqualTexts(w.temp), store.NewEqualTexts(w.temp)
	g.duplicates, g.marks = screen.NewDuplicates(w.temp), screen.NewMarks(w.temp)
	if g.screened, err = w.screenSettings(); err != nil {
		return err
	}
	if g.weighed, err = w.weighSettings(); err != nil {
		return err
	}
	g.sum = screen.NewSummary(g.screened)
	g.tares = weigh.Tares{}
	g.sizes = map[keys.Source]int{}
	g.places, g.spots = located.Positions{}, located.NewSpots()
	g.remarks, g.recaught = recaptures.NewRemarks(), map[int]recaptures.Mention{}
	return nil
}

func (g *learned) close() error {
	if g.duplicates == nil {
		return nil
	}
	return errors.Join(g.keys.Close(), g.contents.Close(), g.marked.Close(), g.duplicates.Close(), g.marks.Close())
}

// chunkRows is how many rows are read at a time.
const chunkRows = 2048
