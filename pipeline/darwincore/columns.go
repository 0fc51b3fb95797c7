package darwincore

import (
	"slices"

	"spadefoot/pipeline/lanes"
	"spadefoot/pipeline/record"
)

// Columns gathers which columns the files of an archive will have. The zero
// value has none. It is used by one goroutine; those of several join.
type Columns struct{ core, facts, media marks }

// Join adds the columns of another.
func (c *Columns) Join(o *Columns) {
	c.core.join(&o.core)
	c.facts.join(&o.facts)
	c.media.join(&o.media)
}

// Note adds the columns that a capture needs, whose line the scribe made last.
func (s *Scribe) Note(columns *Columns, c *record.Capture) {
	columns.core.join(&s.line.has)
	if columns.facts != allFacts {
		s.facts(c, s.read(c), false, func(f *fact) { f.mark(&columns.facts) })
	}
	if list := s.line.texts[s.maker.at.media]; list != "" {
		for _, m := range Media(s.maker.dataset.ID, list) {
			row := m.cells(s.line.texts[s.maker.at.occurrence], s.maker.dataset.Language)
			row.mark(&columns.media)
		}
	}
}

var allFacts = func() (m marks) {
	for i := range factCount {
		m.add(i)
	}
	return m
}()

func (f *fact) mark(m *marks) {
	for i := range f.cells {
		if len(f.cells[i].text) > 0 {
			m.add(i)
		}
	}
}

// learn gathers the columns of captures, on all processors.
func (a *Archive) learn(captures []*record.Capture) *Columns {
	all := &Columns{}
	_ = lanes.InOrder(slices.Values(captures), func(captures []*record.Capture) *Columns {
		s := a.scribe()
		defer a.resting(s)
		c := &Columns{}
		for _, capture := range captures {
			s.Occurrence(capture)
			s.Note(c, capture)
		}
		return c
	}, func(c *Columns) error {
		all.Join(c)
		return nil
	})
	return all
}
