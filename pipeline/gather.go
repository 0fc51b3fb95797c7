package pipeline

import (
	"errors"
	"fmt"
	"slices"
	"sync"

	"golang.org/x/sync/errgroup"

	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/parallel"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/weigh"
)

// add adds what was read to what waits, and hands it over when there is enough
// for a part.
func (w *walk) add(captures []*record.Capture, fs, aside []record.Finding) error {
	b := &w.intake.waiting
	b.captures, b.found, b.aside = append(b.captures, captures...), append(b.found, fs...), append(b.aside, aside...)
	if w.intake.give != nil {
		return w.intake.pass()
	}
	if len(b.captures) < w.partRows {
		return nil
	}
	return w.sendBatch()
}

// work stores until there is nothing more to come. After an error it
// drops what comes and lets the reader know.
func (in *intake) work() {
	for b := range in.batches {
		if err := in.store(b); err != nil {
			in.failed <- err
			for range in.batches {
			}
			return
		}
	}
}

// sendBatch sends what waits to be stored as a part.
func (w *walk) sendBatch() error {
	b := w.intake.waiting
	w.intake.waiting = batch{}
	if len(b.captures) == 0 && len(b.found) == 0 && len(b.aside) == 0 && !w.held {
		return nil // what is held is one part, be it empty
	}
	b.laid = slices.Clone(w.laid)
	select {
	case err := <-w.intake.failed:
		w.intake.failed <- err
		return err
	case w.intake.batches <- b:
		w.intake.given++
		w.showProgress(w.intake.given, 0)
		return w.ctx.Err()
	}
}

// store makes a part of a batch: every capture named and weighed.
func (in *intake) store(b batch) error {
	all, w := in.walk, &in.storing
	w.laid, w.decided = b.laid, all.decided
	from := all.store.Captures()
	found, aside, err := w.nameAndWeigh(b, from, &all.learned)
	if err != nil {
		return err
	}
	all.runs, all.spans = append(all.runs, nil), append(all.spans, spansOf(w.captures))
	var beside errgroup.Group // neither changes a capture
	beside.Go(func() error {
		return errors.Join(all.fromReading.Add(found), all.aside.Add(aside), all.store.Add(w.captures))
	})
	beside.Go(func() error { return all.learn(w.captures, from) })
	err = beside.Wait()
	w.captures, w.findings = nil, nil
	if !w.held {
		for _, m := range b.memory {
			m.Release()
		}
	}
	return err
}

// nameAndWeigh names and weighs every capture of a batch. It returns the findings in
// them, and aside those that are reported with other cells.
func (w *walk) nameAndWeigh(b batch, from int, g *learned) (found, aside []record.Finding, err error) {
	w.captures, w.findings, w.settled = b.captures, b.found, 0
	for i, c := range w.captures {
		if err := w.name(c, from+i, g.keys); err != nil {
			return nil, nil, err
		}
	}
	animals := w.animals()
	w.counts.Captures += len(w.captures)
	w.counts.Absences += len(w.captures) - len(animals)
	if b.weighed {
		w.find(b.weighing...)
	} else {
		w.weigh(animals, g.weighed)
	}
	w.settle()
	found = w.findings
	w.findings, w.settled = b.aside, 0
	w.settle()
	return found, w.findings, nil
}

// weigh weighs the animals in hand.
func (w *walk) weigh(animals []*record.Capture, s weigh.Settings) {
	s.Confirmed = w.decided.outcome.Confirmed
	s = s.Sharing()
	w.eachCapture(animals, func(c *record.Capture) []record.Finding { return weigh.Weigh(c, w.tables.bags, s) })
}

// learn lets the rooms gather what they need of the captures of a part.
func (w *walk) learn(captures []*record.Capture, from int) error {
	g := &w.learned
	var beside sync.WaitGroup
	beside.Go(func() { g.sum.AddPart(animalsAmong(captures)) })
	defer beside.Wait()
	for i, c := range captures {
		g.spots.Add(c, g.places)
		if err := w.noteContents(c, from+i); err != nil {
			return err
		}
		if c.Absent() {
			continue
		}
		if r, ok := g.remarks.MentionIn(c); ok && len(g.recaught) < maxRecaught {
			g.recaught[from+i] = r
		}
		g.tares.Add(c)
		g.repeats.Add(c)
		if mark := c.Mark(); mark != "" {
			if err := g.marked.Add(mark, from+i); err != nil {
				return err
			}
		}
		if err := errors.Join(g.duplicates.Add(from+i, c), g.marks.Add(from+i, c)); err != nil {
			return err
		}
	}
	return nil
}

// maxRecaught bounds the remarks that name an animal and are reported.
const maxRecaught = 100_000

// eachCapture lets a stage that looks at one capture at a time work on all
// processors, and takes its findings in the order of the captures.
func (w *walk) eachCapture(captures []*record.Capture, work func(*record.Capture) []record.Finding) {
	_ = parallel.InOrder(slices.Values(captures), func(cs []*record.Capture) (fs []record.Finding) {
		for _, c := range cs {
			fs = append(fs, captureFindings(c, work(c))...)
		}
		return fs
	}, func(fs []record.Finding) error {
		w.find(fs...)
		return nil
	})
}

func captureFindings(c *record.Capture, fs []record.Finding) []record.Finding {
	for i := range fs {
		if fs[i].Capture == "" {
			fs[i].Capture = c.Key
		}
	}
	return fs
}

// driftedScales are the findings on the checks of scales, at their lines in the
// description of the survey.
func (w *walk) driftedScales() []record.Finding {
	found, at := weigh.DriftOf(w.learned.weighed)
	for i := range found {
		if k := at[i]; k < len(w.survey.ScaleChecks) {
			found[i].At = record.Address{File: survey.FileName, Row: w.survey.Line(fmt.Sprintf("scaleChecks.%d.reading", k))}
		} else {
			found[i].At = slices.Concat(w.tables.checks.At, w.onSheets.At)[k-len(w.survey.ScaleChecks)]
		}
	}
	return found
}

// pass hands what waits to another machine.
func (in *intake) pass() error {
	b := in.waiting
	in.waiting = batch{}
	defer func() {
		for _, m := range b.memory {
			m.Release()
		}
	}()
	if len(b.captures)+len(b.found)+len(b.aside) == 0 {
		return in.walk.ctx.Err()
	}
	return errors.Join(in.give(b), in.walk.ctx.Err())
}

// checkSheets looks through the sheets for lines on checks of scales, before any
// row is weighed. Of a survey whose instruments weigh nothing, no line is read.
func (w *walk) checkSheets() error {
	if !weigh.Weighs(w.instruments()) {
		return nil
	}
	for _, ref := range w.survey.Sheets {
		if err := w.checkFile(ref); err != nil {
			return err
		}
	}
	return nil
}

// checkReadable looks through the sheets that can be read; what reads the others
// says so.
func (w *walk) checkReadable() {
	if !weigh.Weighs(w.instruments()) {
		return
	}
	for _, ref := range w.survey.Sheets {
		_ = w.checkFile(ref)
	}
}

// checkFile looks through one file.
func (w *walk) checkFile(ref survey.SheetRef) error {
	var isDate func(string) bool
	if ref.Map != nil {
		isDate = ref.Map.Meaning(known.Words(), "eventDate")
	}
	var l *weigh.CheckLines
	for c, err := range sheet.Chunks(ref.File, w.inputs.Path(ref.File), sheetOptions(w.survey, ref), chunkRows) {
		if c.First {
			if l != nil {
				l.End()
			}
			l = weigh.NewCheckLines(&w.onSheets, w.instruments(), ref.File, c.Tab, isDate)
		}
		if l != nil {
			l.Rows(c.Rows)
		}
		if err != nil {
			return &InputError{File: ref.File, Err: err}
		}
	}
	if l != nil {
		l.End()
	}
	return nil
}
