package darwincore

import (
	"slices"

	"spadefoot/pipeline/parallel"
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

// Add adds the column of a term of the core or of the measurements, which
// captures are known to get only after they were noted.
func (c *Columns) Add(term string) {
	if i := slices.Index(factTerms[factID:], term); i >= 0 {
		c.facts.add(factID + i)
	} else if i := slots().Place(term); i >= 0 {
		c.core.add(i)
	}
}

// Note adds the columns that a capture needs, whose line the writer made last.
func (s *RowWriter) Note(columns *Columns, c *record.Capture) {
	needs := s.line.needs(&s.builder.fixedSlots)
	columns.core.join(&needs)
	if known := &columns.facts; usualFacts.within(known) {
		s.noteForms(known)
	} else {
		s.facts(c, s.readings, func(f *fact) { f.mark(known) })
	}
	if list := s.line.text(s.builder.at.media); list != "" {
		for _, m := range Media(s.builder.dataset.ID, list) {
			row := s.builder.medium(m, s.line.text(s.builder.at.occurrence))
			row.mark(&columns.media)
		}
	}
}

// usualFacts are the columns of measurements that are found only by making the
// rows. Most captures have them, so that those after the first few are looked
// at for what else there is.
var usualFacts = marksOf(factOccurrence, factID, factValue, factBy)

// noteForms adds the columns that the kinds of readings need, and those of the
// accuracy, the date and the remarks.
func (s *RowWriter) noteForms(m *marks) {
	s.forms.begin()
	dated := s.get(foundDetermined) != ""
	for i, r := range s.readings {
		if !taken(r) {
			continue
		}
		f := s.forms.of(i, r)
		m[0] |= f.needs[0] // which has all columns
		if len(f.uncertainty(r)) > 0 {
			m.add(factAccuracy)
		}
		if dated {
			m.add(factDate)
		}
		if !m.has(factRemarks) {
			s.buffers.value = appendNumbers(s.buffers.value[:0], r)
			if s.buffers.remarks = f.appendRemarks(s.buffers.remarks[:0], r, s.buffers.value); len(s.buffers.remarks) > 0 {
				m.add(factRemarks)
			}
		}
	}
}

func marksOf(numbers ...int) (m marks) {
	for _, i := range numbers {
		m.add(i)
	}
	return m
}

// learn gathers the columns of captures, on all processors.
func (a *Archive) learn(captures []*record.Capture) *Columns {
	all := &Columns{}
	_ = parallel.InOrder(slices.Values(captures), func(captures []*record.Capture) *Columns {
		s := a.writer()
		defer a.resting(s)
		c := &Columns{}
		for _, capture := range captures {
			line := s.Occurrence(capture)
			if a.events != nil {
				a.put(line)
				c.facts.add(factEvent)
				c.media.add(0)
			}
			s.Note(c, capture)
		}
		return c
	}, func(c *Columns) error {
		all.Join(c)
		return nil
	})
	return all
}
