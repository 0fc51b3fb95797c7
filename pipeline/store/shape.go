package store

import (
	"slices"
	"strings"
	"sync/atomic"
	"unsafe"

	"spadefoot/pipeline/record"
)

// maxShapes is the number of shapes that are kept.
const maxShapes = 2048

// shapes are what many captures have in common as a whole. They are written once and
// then called by their number.
type shapes struct {
	all   []*shape
	at    map[string]int           // by the numbers of the forms, and the layout
	terms map[string]*record.Names // of all shapes with these terms
	near  [1 << 10]uint16          // number of the shape that was written last, by hash of what is shared
	now   shared                   // of a capture whose shape had to be looked up
	forms []int                    // of it
	key   []byte
}

// shape is the numbers of the forms of the values of a capture, then of its readings,
// then of the parts of its weighing, and where in them the texts of its cells are.
type shape struct {
	forms  []int
	values int
	cells  []cellAt
	terms  *record.Names
	last   atomic.Pointer[shared] // what it was written from, or what was read from it, last
}

// shared is what the captures of one shape and sheet share.
type shared struct {
	file, sheet string
	fields      []*record.Field
	series      []*record.Series
	cells       []cellAt
}

// of takes what a capture has.
func (s *shared) of(c *record.Capture) {
	s.file, s.sheet, s.fields, s.series = c.File, c.Sheet, s.fields[:0], s.series[:0]
	for i := range c.Values {
		s.fields = append(s.fields, c.Values[i].Field)
	}
	for i := range c.Readings {
		s.series = append(s.series, c.Readings[i].Series)
	}
	for r := range c.Weighing.Readings() {
		s.series = append(s.series, r.Series)
	}
	s.lay(c)
}

// at is what is shared at a place among the forms.
func (s *shared) at(i int) any {
	if n := len(s.fields); i >= n {
		return s.series[i-n]
	}
	return s.fields[i]
}

// has reports whether it is what a capture shares.
func (s *shared) has(c *record.Capture) bool {
	if len(s.fields) != len(c.Values) || len(s.series) < len(c.Readings) || s.file != c.File || s.sheet != c.Sheet {
		return false
	}
	for i := range c.Values {
		if c.Values[i].Field != s.fields[i] {
			return false
		}
	}
	for i := range c.Readings {
		if c.Readings[i].Series != s.series[i] {
			return false
		}
	}
	parts := s.series[len(c.Readings):]
	for r := range c.Weighing.Readings() {
		if len(parts) == 0 || r.Series != parts[0] {
			return false
		}
		parts = parts[1:]
	}
	return len(parts) == 0 && s.laid(c)
}

// hash is that of the fields and series that a capture has. Those of one table that share
// their terms mostly share the fields.
func hash(c *record.Capture) (h uintptr) {
	if c.Terms != nil {
		h = uintptr(unsafe.Pointer(c.Terms)) >> 4
	} else {
		for i := range c.Values {
			h = h*31 ^ uintptr(unsafe.Pointer(c.Values[i].Field))>>4
		}
	}
	for i := range c.Readings {
		h = h*31 ^ uintptr(unsafe.Pointer(c.Readings[i].Series))>>4
	}
	for r := range c.Weighing.Readings() {
		h = h*31 ^ uintptr(unsafe.Pointer(r.Series))>>4
	}
	return h ^ h>>10 ^ h>>20
}

// shape writes the number of the shape of a capture, or 0 and its forms where it has
// none. It returns the numbers of the forms, and where the texts of the cells are.
func (w *writer) shape(c *record.Capture) ([]int, []cellAt) {
	ss := &w.words.shapes
	near := &ss.near[hash(c)%uintptr(len(ss.near))]
	if n := *near; n > 0 {
		if s := ss.all[n-1]; s.last.Load().has(c) {
			w.uint(uint64(n))
			return s.forms, s.cells
		}
	}
	ss.now.of(c)
	ss.forms = ss.forms[:0]
	for i := range len(ss.now.fields) + len(ss.now.series) {
		ss.forms = append(ss.forms, w.words.formNumber(c, ss.now.at(i)))
	}
	n := w.words.shapeNumber()
	*near = uint16(n)
	w.uint(uint64(n))
	if n == 0 {
		w.uint(uint64(len(ss.now.fields)))
		w.uint(uint64(len(ss.now.series)))
		for i, number := range ss.forms {
			if w.uint(uint64(number)); number == 0 {
				w.writeForm(formOf(c, ss.now.at(i)))
			}
		}
		w.layout(ss.now.cells)
	}
	return ss.forms, ss.now.cells
}

// shapeNumber looks the shape of the capture that is written up, or adds it, and
// returns its number from 1; 0 if there are too many.
func (w *words) shapeNumber() int {
	ss := &w.shapes
	key := writer{b: ss.key[:0]}
	key.uint(uint64(len(ss.now.fields)))
	for _, n := range ss.forms {
		key.uint(uint64(n))
	}
	key.layout(ss.now.cells)
	ss.key = key.b
	cells := slices.Clone(ss.now.cells)
	i, there := ss.at[string(ss.key)]
	if there {
		cells = ss.all[i].cells
	} else {
		if i = len(ss.all); i == maxShapes || slices.Contains(ss.forms, 0) {
			return 0
		}
		s := &shape{forms: slices.Clone(ss.forms), values: len(ss.now.fields), cells: cells}
		s.terms = ss.termsOf(w.forms.all, s)
		ss.at[string(ss.key)] = i
		w.mu.Lock()
		ss.all = append(ss.all, s)
		w.mu.Unlock()
	}
	ss.all[i].last.Store(&shared{ss.now.file, ss.now.sheet, slices.Clone(ss.now.fields), slices.Clone(ss.now.series), cells})
	return i + 1
}

// termsOf are the terms of a shape.
func (ss *shapes) termsOf(forms []*form, s *shape) *record.Names {
	var terms []string
	for _, n := range s.forms[:s.values] {
		terms = append(terms, forms[n-1].of.(*record.Field).Term)
	}
	key := strings.Join(terms, "\x00")
	names := ss.terms[key]
	if names == nil {
		names = record.NewNames(terms)
		ss.terms[key] = names
	}
	return names
}

// shape returns what a capture shares, by the number that follows or by the forms.
func (t *taker) shape(c *record.Capture) *shared {
	switch n := t.uint(); {
	case n == 0:
		own := &t.own
		own.fields = resized(own.fields, t.count())
		own.series = resized(own.series, t.count())
		for i := range own.fields {
			own.fields[i] = as[*record.Field](t, t.form(c, t.uint()))
		}
		for i := range own.series {
			own.series[i] = as[*record.Series](t, t.form(c, t.uint()))
		}
		own.cells = t.layout()
		c.Terms = nil
		return own
	case n <= uint64(len(t.known.shapes)):
		s := t.known.shapes[n-1]
		c.Terms = s.terms
		last := s.last.Load()
		if last == nil || last.file != c.File || last.sheet != c.Sheet {
			last = &shared{file: c.File, sheet: c.Sheet, cells: s.cells}
			for i, n := range s.forms {
				if of := t.form(c, uint64(n)); i < s.values {
					last.fields = append(last.fields, as[*record.Field](t, of))
				} else {
					last.series = append(last.series, as[*record.Series](t, of))
				}
			}
			s.last.Store(last)
		}
		return last
	}
	t.fail()
	return &shared{}
}

// as returns what a form describes as the field or series that it has to be.
func as[T any](t *taker, of any) T {
	it, ok := of.(T)
	if !ok {
		t.fail()
	}
	return it
}
