package store

import (
	"encoding/binary"
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
	at    map[string]int           // by the numbers of the forms
	terms map[string]*record.Names // of all shapes with these terms
	near  [1 << 10]uint16          // number of the shape that was written last, by hash of what is shared
	now   shared                   // of the capture that is written
	forms []int                    // of it, where it had to be looked up
	key   []byte
}

// shape is the numbers of the forms of the values of a capture, then of its readings,
// then of the parts of its weighing.
type shape struct {
	forms  []int
	values int
	terms  *record.Names
	last   atomic.Pointer[shared] // what it was written from, or what was read from it, last
}

// shared is what the captures of one shape and sheet share.
type shared struct {
	file, sheet string
	fields      []*record.Field
	series      []*record.Series
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
}

// at is what is shared at a place among the forms.
func (s *shared) at(i int) any {
	if n := len(s.fields); i >= n {
		return s.series[i-n]
	}
	return s.fields[i]
}

func (s *shared) same(o *shared) bool {
	return s.file == o.file && s.sheet == o.sheet && slices.Equal(s.fields, o.fields) && slices.Equal(s.series, o.series)
}

func (s *shared) hash() (h uintptr) {
	for _, f := range s.fields {
		h = h*31 ^ uintptr(unsafe.Pointer(f))>>4
	}
	for _, f := range s.series {
		h = h*31 ^ uintptr(unsafe.Pointer(f))>>4
	}
	return h ^ h>>10 ^ h>>20
}

// shape writes the number of the shape of a capture, or 0 and its forms where it has
// none. It returns the numbers of the forms.
func (w *writer) shape(c *record.Capture) []int {
	ss := &w.words.shapes
	ss.now.of(c)
	near := &ss.near[ss.now.hash()%uintptr(len(ss.near))]
	if n := *near; n > 0 {
		if s := ss.all[n-1]; s.last.Load().same(&ss.now) {
			w.uint(uint64(n))
			return s.forms
		}
	}
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
	}
	return ss.forms
}

// shapeNumber looks the shape of the capture that is written up, or adds it, and
// returns its number from 1; 0 if there are too many.
func (w *words) shapeNumber() int {
	ss := &w.shapes
	ss.key = binary.AppendUvarint(ss.key[:0], uint64(len(ss.now.fields)))
	for _, n := range ss.forms {
		ss.key = binary.AppendUvarint(ss.key, uint64(n))
	}
	i, there := ss.at[string(ss.key)]
	if !there {
		if i = len(ss.all); i == maxShapes || slices.Contains(ss.forms, 0) {
			return 0
		}
		s := &shape{forms: slices.Clone(ss.forms), values: len(ss.now.fields)}
		s.terms = ss.termsOf(w.forms.all, s)
		ss.at[string(ss.key)] = i
		w.mu.Lock()
		ss.all = append(ss.all, s)
		w.mu.Unlock()
	}
	ss.all[i].last.Store(&shared{ss.now.file, ss.now.sheet, slices.Clone(ss.now.fields), slices.Clone(ss.now.series)})
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
		c.Terms = nil
		return own
	case n <= uint64(len(t.known.shapes)):
		s := t.known.shapes[n-1]
		c.Terms = s.terms
		last := s.last.Load()
		if last == nil || last.file != c.File || last.sheet != c.Sheet {
			last = &shared{file: c.File, sheet: c.Sheet}
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
