package darwincore

import (
	"slices"

	"spadefoot/pipeline/record"
)

// made is what captures come to: rows of the three files as CSV.
type made struct {
	text   [3]*[]byte
	rows   [3]int
	beyond *beyond
	reader Reader // of the witness; nil without one
	seen   []int  // columns that it sees
}

// beyond says that rows need columns that the files do not have.
type beyond struct{ columns Columns }

func (*beyond) Error() string { return "rows need more columns" }

// made makes the rows of captures. It may be called by many goroutines.
func (a *Archive) made(captures []*record.Capture) *made {
	s := a.writer()
	defer a.resting(s)
	out := &made{}
	for i := range out.text {
		buf, ok := a.buffers.Get().(*[]byte)
		if !ok {
			buf = new([]byte)
		}
		*buf = (*buf)[:0]
		out.text[i] = buf
	}
	if a.witness != nil {
		out.seen = a.seen()
		names := make([]string, len(out.seen))
		for i, slot := range out.seen {
			names[i] = a.occurrences.terms[slot]
		}
		out.reader = a.witness.Reader(names)
	}
	var used Columns
	for i, c := range captures {
		a.rows(s, c, out, &used)
		if i == 0 {
			out.grow(len(captures))
		}
	}
	if !used.core.within(&a.occurrences.known) || !used.facts.within(&a.measurements.known) || !used.media.within(&a.media.known) {
		out.beyond = &beyond{used}
	}
	s.used.Join(&used)
	return out
}

// grow makes room for the rows of so many captures like the first.
func (m *made) grow(captures int) {
	for _, text := range m.text {
		*text = slices.Grow(*text, len(*text)*captures)
	}
}

// rows appends the rows of a capture.
func (a *Archive) rows(s *RowWriter, c *record.Capture, out *made, used *Columns) {
	published := s.read(c)
	line := s.occurrence(c, published)
	s.cover()
	var event *happening
	var name []byte // as CSV
	if a.events != nil {
		event = a.put(line)
		said := event.cursor()
		name = said.at(s.builder.at.event)
	}
	needs := line.needs(&s.builder.fixedSlots)
	used.core.join(&needs)
	core, others := len(*out.text[0]), len(*out.text[1])
	s.cuts = [2][]int{s.cuts[0][:0], s.cuts[1][:0]}
	*out.text[0] = s.appendLine(*out.text[0], a.occurrences.columns)
	out.rows[0]++
	facts := *out.text[1]
	s.facts(c, published, func(f *fact) {
		if event != nil {
			f.own[factEvent] = cell{text: name, csv: name}
		}
		f.mark(&used.facts)
		s.usage.accurate = s.usage.accurate || len(f.own[factAccuracy].text) > 0
		facts = f.append(facts, a.measurements.columns)
		s.cuts[1] = append(s.cuts[1], len(facts)-others)
		out.rows[1]++
		if !f.form.taken && !f.form.key.derived && f.form.key.instrument != "" {
			f.form.taken = true
			s.usage.measured(f.form.key.instrument, s.builder.kind(f.form.key.measurement))
		}
	})
	*out.text[1] = facts
	if out.reader != nil {
		row := (*out.text[0])[core:]
		if event != nil {
			s.cuts[0] = s.cuts[0][:0]
			s.buffers.seen = s.appendSeen(s.buffers.seen[:0], out.seen, event)
			row = s.buffers.seen
		}
		out.reader.Rows(c, Cut{row, s.cuts[0]}, Cut{facts[others:], s.cuts[1]})
	}
	if list := line.text(s.builder.at.media); list != "" {
		for _, m := range Media(a.dataset.ID, list) {
			row := a.builder.medium(m, line.text(s.builder.at.occurrence))
			if event != nil {
				row[0] = event.id
			}
			row.mark(&used.media)
			*out.text[2] = row.append(*out.text[2], a.media.columns)
			out.rows[2]++
		}
	}
	s.usage.weighed(c)
}

// take writes what was made.
func (a *Archive) take(m *made) error {
	for i, l := range a.rowFiles() {
		if err := l.write(a, *m.text[i], m.rows[i]); err != nil {
			return err
		}
		a.buffers.Put(m.text[i])
	}
	if m.reader != nil {
		a.witness.Take(m.reader)
	}
	return nil
}

// widen adds the columns that rows were found to need.
func (a *Archive) widen(b *beyond) {
	for i, columns := range []*marks{&b.columns.core, &b.columns.facts, &b.columns.media} {
		if l := a.rowFiles()[i]; !columns.within(&l.known) {
			l.widen(columns)
		}
	}
}

// writer returns a row writer that nobody uses.
func (a *Archive) writer() *RowWriter {
	a.mu.Lock()
	defer a.mu.Unlock()
	if n := len(a.idle); n > 0 {
		s := a.idle[n-1]
		a.idle = a.idle[:n-1]
		return s
	}
	s := a.builder.RowWriter()
	a.writers = append(a.writers, s)
	return s
}

func (a *Archive) resting(s *RowWriter) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.idle = append(a.idle, s)
}

// rest drops the captures of a part.
func (a *Archive) rest() {
	for _, s := range a.writers {
		s.Rest()
	}
}
