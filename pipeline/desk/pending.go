package desk

import (
	"context"
	"net/http"
	"slices"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
)

// pending are decisions of this desk that no walk has seen yet. Of a large survey
// a walk takes seconds; meanwhile pages show the survey before, without the
// doubts that were decided on, and say so.
type pending struct {
	before *walk
	state  uint64          // of the folder behind the last of them
	causes map[string]bool // that were decided on, by their ID
	rows   []remedy.Remedy
	done   chan struct{} // closed when a walk has seen all of them
	err    error         // of that walk; the decisions were taken back then
}

// awaiting notes that the table of remedies was just written: with rows on a
// cause, or without rows that were taken back.
func (d *Desk) awaiting(before *walk, id string, rows []remedy.Remedy) (*pending, error) {
	state, err := d.state()
	if err != nil {
		return nil, err
	}
	s := &d.walks
	s.mu.Lock()
	defer s.mu.Unlock()
	p := s.pending
	if p == nil || p.before != before {
		p = &pending{before: before, causes: map[string]bool{}, done: make(chan struct{})}
		before.uses++
		s.pending = p
		s.background.Go(func() { d.settle(p) })
	}
	p.state = state
	if len(rows) == 0 {
		delete(p.causes, id)
		return p, nil
	}
	p.causes[id] = true
	p.rows = append(p.rows, rows...)
	return p, nil
}

// settle waits until a walk has seen the decisions. Those that keep the survey
// from being read are taken back.
func (d *Desk) settle(p *pending) {
	defer close(p.done)
	ctx, end := d.visiting(context.Background())
	defer end()
	s := &d.walks
	for {
		w, err := d.walked(ctx, false)
		s.mu.Lock()
		seen := s.state
		if err == nil {
			seen = w.state
		}
		if now, failed := d.state(); failed == nil && now != seen && !s.closed {
			s.mu.Unlock()
			continue // there was another decision meanwhile
		}
		if p.err = err; s.pending == p {
			s.pending = nil
		}
		d.release(p.before)
		closed := s.closed
		s.mu.Unlock()
		if err != nil && !closed && len(p.rows) > 0 {
			p.err = d.unreadable(p.rows, err)
		}
		return
	}
}

// unreadable takes decisions back with which the survey cannot be read, and
// says so on the next page.
func (d *Desk) unreadable(rows []remedy.Remedy, why error) error {
	d.writing.Lock()
	defer d.writing.Unlock()
	if err := pipeline.TakeBack(d.folder, rows, d.Pipeline); err != nil {
		return why
	}
	err := refuse(http.StatusUnprocessableEntity, "The survey cannot be read with this decision, so it was undone. %s", why)
	d.notices.urge(err.Error())
	return err
}

// leftOf are the causes that are not decided on.
func (d *Desk) leftOf(w *walk, all []*cause) []*cause {
	s := &d.walks
	s.mu.Lock()
	defer s.mu.Unlock()
	if p := s.pending; p != nil && p.before == w && len(p.causes) > 0 {
		return slices.DeleteFunc(slices.Clone(all), func(c *cause) bool { return p.causes[c.ID] })
	}
	return all
}

// doubtsLeft counts the errors and warnings but for those of causes that are
// decided on.
func (w *walk) doubtsLeft(left []*cause) (errors, warnings int) {
	errors, warnings = w.Tally.Levels.Error, w.Tally.Levels.Warning
	still := map[string]bool{}
	for _, c := range left {
		still[c.ID] = true
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, c := range w.causes {
		for _, f := range c.Findings {
			switch {
			case still[c.ID]:
			case f.Level == record.Error:
				errors--
			case f.Level == record.Warning:
				warnings--
			}
		}
	}
	return errors, warnings
}
