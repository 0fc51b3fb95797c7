package normalise

import (
	"strings"
	"sync"

	"spadefoot/pipeline/record"
)

// slab is where the captures of one chunk are made: a few large pieces of
// memory from which each capture has its part, cut so that appending to it
// copies.
type slab struct {
	rows      int // that are still to come
	done      int
	all       []record.Capture
	captures  []record.Capture // of all, those that are still to come
	values    []record.Value
	readings  []record.Reading
	weighings []record.Weighing
	parts     []record.Reading
	written   []record.Written
	findings  []record.Finding
	taken     int // values and readings of the rows that are done
	read      int
}

const (
	someValues   = 32 // values of a row for which there is space at first
	someReadings = 8
)

func newSlab(rows int) *slab {
	all := make([]record.Capture, rows)
	return &slab{rows: rows, all: all, captures: all}
}

// again makes the slab ready for other rows.
func (m *slab) again(rows int) {
	if cap(m.all) < rows {
		m.all = make([]record.Capture, rows)
	}
	m.all = m.all[:rows]
	clear(m.all)
	clear(m.weighings)
	clear(m.findings)
	*m = slab{rows: rows, all: m.all, captures: m.all, values: m.values[:0], readings: m.readings[:0],
		weighings: m.weighings[:0], parts: m.parts[:0], written: m.written[:0], findings: m.findings[:0]}
}

// slabs are slabs that nobody uses. The nil value has none.
type slabs struct {
	mu   sync.Mutex
	idle []*slab
}

func (p *slabs) get(rows int) *slab {
	if p == nil {
		return newSlab(rows)
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	n := len(p.idle) - 1
	if n < 0 {
		return newSlab(rows)
	}
	m := p.idle[n]
	p.idle = p.idle[:n]
	m.again(rows)
	return m
}

// Memory is the memory that captures were made in.
type Memory struct {
	of   *slabs
	lent []*slab
}

// Release says that nobody holds the captures any more: other captures are going to
// be made in the same memory. Memory that is not released does no harm.
func (l Memory) Release() {
	if l.of == nil {
		return
	}
	l.of.mu.Lock()
	defer l.of.mu.Unlock()
	l.of.idle = append(l.of.idle, l.lent...)
}

// capture returns the next capture.
func (m *slab) capture() *record.Capture {
	c := &m.captures[0]
	m.captures = m.captures[1:]
	return c
}

// begin returns space for the values and readings of the next row.
func (m *slab) begin() ([]record.Value, []record.Reading) {
	values, readings := someValues, someReadings+added
	if m.done > 0 {
		values, readings = m.taken/m.done+1, m.read/m.done+1
	}
	if cap(m.values)-len(m.values) < max(values, someValues) {
		m.values = make([]record.Value, 0, m.rows*values+someValues)
	}
	if cap(m.readings)-len(m.readings) < max(readings, someReadings+added) {
		m.readings = make([]record.Reading, 0, m.rows*readings+someReadings+added)
	}
	return m.values[len(m.values):], m.readings[len(m.readings):]
}

// end keeps what a row came to, with space for the readings that later stages
// add. What outgrew the slab has moved elsewhere.
func (m *slab) end(values []record.Value, readings []record.Reading) ([]record.Value, []record.Reading) {
	n, k := len(values), len(readings)
	if cap(values) == cap(m.values)-len(m.values) {
		m.values = m.values[:len(m.values)+n]
	}
	values = values[:n:n]
	switch {
	case cap(readings) == cap(m.readings)-len(m.readings) && cap(readings) >= k+added:
		m.readings = m.readings[:len(m.readings)+k+added]
		readings = readings[: k : k+added]
	default:
		readings = append(make([]record.Reading, 0, k+added), readings...)
	}
	m.rows--
	m.done++
	m.taken, m.read = m.taken+n, m.read+k+added
	return values, readings
}

func (m *slab) weighing() *record.Weighing {
	if len(m.weighings) == cap(m.weighings) {
		m.weighings = make([]record.Weighing, 0, max(m.rows, 1))
	}
	m.weighings = m.weighings[:len(m.weighings)+1]
	return &m.weighings[len(m.weighings)-1]
}

// part returns space for a reading that belongs to a weighing.
func (m *slab) part(r record.Reading) *record.Reading {
	if len(m.parts) == cap(m.parts) {
		m.parts = make([]record.Reading, 0, 2*max(m.rows, 1))
	}
	m.parts = append(m.parts, r)
	return &m.parts[len(m.parts)-1]
}

// cells notes what was written in the cells of a row, but for columns that were
// set aside.
func (m *slab) cells(cells []record.Cell, columns []record.Column) []record.Written {
	from := len(m.written)
	if cap(m.written)-from < len(cells) {
		m.written, from = make([]record.Written, 0, max(m.rows, 1)*len(cells)), 0
	}
	for i := range cells {
		c := &cells[i]
		text := c.Verbatim()
		if text == "" || columns[i].Meaning.Role == record.SetAside || strings.TrimSpace(text) == "" {
			continue
		}
		m.written = append(m.written, record.Written{Text: text, Column: int32(i), Decided: c.Remedied})
	}
	return m.written[from:len(m.written):len(m.written)]
}
