package store

import (
	"strings"
	"sync/atomic"

	"spadefoot/pipeline/record"
)

// maxForms is the number of forms of values, and of readings, that are kept.
const maxForms = 4096

// maxNear is how many forms are looked at before one is looked up.
const maxNear = 32

// forms are what values and readings of many captures have in common. They are written
// once and then called by their number.
type forms struct {
	values   numbered[record.Field]
	readings numbered[record.Series]
	above    []above // by number of the form of a value, the first for those without
}

// above is what a value of a form said last.
type above struct{ text, verbatim near }

// form is what values or readings of many captures have in common.
type form[T comparable] struct {
	said[T]
	last atomic.Pointer[T] // which it was written from or read into last
}

// said is a form as it is written. One of a column in the capture's own sheet does not
// say which sheet that is.
type said[T comparable] struct {
	of  T
	own bool
}

// numbered are forms by their number. After a form mostly comes the one that came after
// it first, or one not far behind that.
type numbered[T comparable] struct {
	all  []*form[T]
	at   map[said[T]]int
	next int
}

// near returns the number of the form that was written from the same last, if it is
// among those that likely come next; else -1.
func (n *numbered[T]) near(shared *T, own bool) int {
	i := n.next
	for range min(len(n.all), maxNear) {
		if i >= len(n.all) {
			i = 0
		}
		if f := n.all[i]; f.last.Load() == shared && f.own == own {
			n.next = i + 1
			return i
		}
		i++
	}
	return -1
}

// find looks a form up.
func (n *numbered[T]) find(form said[T], from *T) int {
	i, there := n.at[form]
	if !there {
		return -1
	}
	n.all[i].last.Store(from)
	n.next = i + 1
	return i
}

// add numbers a new form.
func (n *numbered[T]) add(form said[T], from *T) int {
	if n.at == nil {
		n.at = map[said[T]]int{}
	}
	n.all = append(n.all, written(form, from))
	n.at[form], n.next = len(n.all)-1, len(n.all)
	return len(n.all) - 1
}

// written is a form that something was written from.
func written[T comparable](s said[T], from *T) *form[T] {
	f := &form[T]{said: s}
	f.last.Store(from)
	return f
}

// inSheet reports whether an address is in the sheet of a capture.
func inSheet(c *record.Capture, a *record.Address) bool {
	return a.File == c.File && a.Sheet == c.Sheet
}

// fieldNumber returns the number of the form of a field, from 1; 0 and the form where
// there are too many.
func (w *words) fieldNumber(c *record.Capture, f *record.Field) (int, said[record.Field]) {
	all, own := &w.forms.values, inSheet(c, &f.Column)
	if n := all.near(f, own); n >= 0 {
		return n + 1, said[record.Field]{}
	}
	form := said[record.Field]{*f, own}
	if own {
		form.of.Column.File, form.of.Column.Sheet = "", ""
	}
	if n := all.find(form, f); n >= 0 || len(all.all) == maxForms {
		return n + 1, form
	}
	of := &form.of
	for _, text := range []*string{&of.Term, &of.Column.File, &of.Column.Sheet, &of.Remark, &of.Undecided} {
		*text = strings.Clone(*text) // no part of a larger text
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	w.forms.above = append(w.forms.above, above{})
	return all.add(form, f) + 1, form
}

// field reads the number of a form, or the form, and returns what it stands for in a capture.
func (t *taker) field(c *record.Capture, n uint64) *record.Field {
	var f *form[record.Field]
	switch {
	case n == 0:
		f = &form[record.Field]{said: t.fieldForm()}
	case n <= uint64(len(t.known.values)):
		f = t.known.values[n-1]
	default:
		t.fail()
		return nil
	}
	if !f.own {
		return &f.of
	}
	if last := f.last.Load(); last != nil && inSheet(c, &last.Column) {
		return last
	}
	own := f.of
	own.Column.File, own.Column.Sheet = c.File, c.Sheet
	f.last.Store(&own)
	return &own
}

// seriesNumber is fieldNumber for a series.
func (w *words) seriesNumber(c *record.Capture, r *record.Series) (int, said[record.Series]) {
	all, own := &w.forms.readings, inSheet(c, &r.Column)
	if n := all.near(r, own); n >= 0 {
		return n + 1, said[record.Series]{}
	}
	form := said[record.Series]{*r, own}
	if own {
		form.of.Column.File, form.of.Column.Sheet = "", ""
	}
	if n := all.find(form, r); n >= 0 || len(all.all) == maxForms {
		return n + 1, form
	}
	of := &form.of
	for _, text := range []*string{&of.Measurement, &of.Unit, &of.WrittenUnit, &of.Instrument, &of.Observer, &of.Heading, &of.Side, &of.Column.File, &of.Column.Sheet, &of.Undecided} {
		*text = strings.Clone(*text)
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	return all.add(form, r) + 1, form
}

// series is field for a series.
func (t *taker) series(c *record.Capture, n uint64) *record.Series {
	var f *form[record.Series]
	switch {
	case n == 0:
		f = &form[record.Series]{said: t.seriesForm()}
	case n <= uint64(len(t.known.readings)):
		f = t.known.readings[n-1]
	default:
		t.fail()
		return nil
	}
	if !f.own {
		return &f.of
	}
	if last := f.last.Load(); last != nil && inSheet(c, &last.Column) {
		return last
	}
	own := f.of
	own.Column.File, own.Column.Sheet = c.File, c.Sheet
	f.last.Store(&own)
	return &own
}

// fieldForm writes a form, and seriesForm one of a series.
func (w *writer) fieldForm(s *said[record.Field]) {
	w.bool(s.own)
	w.text("term", s.of.Term)
	w.address(s.of.Column)
	w.text("remark", s.of.Remark)
	w.bool(s.of.Wrong)
	w.text("rule", s.of.Undecided)
}

func (r *reader) fieldForm() said[record.Field] {
	return said[record.Field]{own: r.byte() == 1, of: record.Field{Term: r.text(), Column: r.address(), Remark: r.text(), Wrong: r.byte() == 1, Undecided: r.text()}}
}

func (w *writer) seriesForm(s *said[record.Series]) {
	of := &s.of
	w.bool(s.own)
	w.text("measurement", of.Measurement)
	w.text("unit", of.Unit)
	w.text("unit", of.WrittenUnit)
	w.float(of.Resolution)
	w.text("instrument", of.Instrument)
	w.text("observer", of.Observer)
	w.text("heading", of.Heading)
	w.text("side", of.Side)
	w.int(of.Replicate)
	w.address(of.Column)
	w.bool(of.Comma)
	w.bool(of.Guessed)
	w.bool(of.Derived)
	w.text("rule", of.Undecided)
}

func (r *reader) seriesForm() said[record.Series] {
	return said[record.Series]{own: r.byte() == 1, of: record.Series{Measurement: r.text(), Unit: r.text(), WrittenUnit: r.text(), Resolution: r.float(),
		Instrument: r.text(), Observer: r.text(), Heading: r.text(), Side: r.text(), Replicate: r.int(), Column: r.address(),
		Comma: r.byte() == 1, Guessed: r.byte() == 1, Derived: r.byte() == 1, Undecided: r.text()}}
}

// bool writes a byte, 1 for true.
func (w *writer) bool(v bool) {
	if v {
		w.byte(1)
	} else {
		w.byte(0)
	}
}
