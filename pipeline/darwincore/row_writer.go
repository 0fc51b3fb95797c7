package darwincore

import "spadefoot/pipeline/record"

// RowWriter makes the rows of one capture after the other in the same buffers, so
// that rows cost little. It belongs to one goroutine. It keeps of captures no
// more than the texts that many of them share, up to a bound.
type RowWriter struct {
	builder *RowBuilder
	line    Line
	dynamic properties
	known   meanings
	session session

	forms    forms
	fact     fact
	buffers  factBuffers
	captures uint64

	means    []*meaning                // of the values of the capture
	found    [foundCount]*record.Value // values that rows are made from in more than one way
	readings []*record.Reading
	masses   [3]namedMass
	made     []byte // texts that were made for the line
	spans    []span
	left     marks    // slots of values that nobody decided on
	cuts     [2][]int // ends of the fields of the core's row, and of the rows of measurements

	coverage Coverage
	usage    usage
	used     Columns
}

// span is the part of the made texts that belongs into a slot.
type span struct{ slot, from, to int }

// RowWriter returns a new one.
func (m *RowBuilder) RowWriter() *RowWriter {
	s := &RowWriter{builder: m, line: newLine()}
	s.forms.builder = m
	return s
}

// borrow returns a writer for rows that are made one at a time.
func (m *RowBuilder) borrow() *RowWriter {
	if s, ok := m.writers.Get().(*RowWriter); ok {
		return s
	}
	return m.RowWriter()
}

func (m *RowBuilder) giveBack(s *RowWriter) {
	s.Rest()
	m.writers.Put(s)
}

// read goes over a capture before its rows are made, and returns the readings
// that are published.
func (s *RowWriter) read(c *record.Capture) []*record.Reading {
	means := s.known.of(c)
	s.means, s.found = means.terms, [foundCount]*record.Value{}
	for i, at := range means.found {
		if at > 0 {
			s.found[i] = &c.Values[at-1]
		}
	}
	s.readings = appendPublished(s.readings[:0], &s.masses, c)
	return s.readings
}

// Get returns the text of a term in the row of the core that was made last, or "".
func (s *RowWriter) Get(term string) string { return s.line.Get(term) }

// get returns the text of a value that was found and is published, or "".
func (s *RowWriter) get(found int) string {
	if v := s.found[found]; v != nil && v.Undecided == "" {
		return v.Text
	}
	return ""
}

// absent is Absent of the capture.
func (s *RowWriter) absent() bool {
	v := s.found[foundStatus]
	return v != nil && v.Text == "absent"
}

// Rest drops the last capture: its strings may hold a large buffer.
func (s *RowWriter) Rest() {
	s.line.clear()
	clear(s.line.texts)
	s.dynamic.drop()
	clear(s.readings[:cap(s.readings)])
	clear(s.forms.at)
	s.masses, s.fact = [3]namedMass{}, fact{}
	s.found = [foundCount]*record.Value{}
}
