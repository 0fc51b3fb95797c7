package store

import (
	"strings"
	"sync/atomic"

	"spadefoot/pipeline/record"
)

// maxForms is the number of forms that are kept.
const maxForms = 8192

// maxNear is how many forms are looked at before one is looked up.
const maxNear = 64

// forms are what values and readings of many captures have in common. They are written
// once and then called by their number. After a form mostly comes the one that came
// after it first, or one not far behind that.
type forms struct {
	all   []*form
	at    map[formKey]int
	next  int
	above []textsAbove // by number of the form, the first for those without
}

// textsAbove is what values of a form said.
type textsAbove struct{ text, verbatim above }

// form is a *record.Field or a *record.Series as it is written. If its column is in the
// capture's own sheet, it does not say which sheet that is.
type form struct {
	of   any
	own  bool
	last atomic.Value // what it was written from, or what was read from it, last
}

// formKey is a form by its contents.
type formKey struct {
	of  any
	own bool
}

// near returns the place of the form that was last written from the same, or read as it,
// if it is among those that likely come next; else -1.
func (fs *forms) near(shared any, own bool) int {
	i := fs.next
	for range min(len(fs.all), maxNear) {
		if i >= len(fs.all) {
			i = 0
		}
		if f := fs.all[i]; f.last.Load() == shared && f.own == own {
			fs.next = i + 1
			return i
		}
		i++
	}
	return -1
}

// formNumber returns the number of the form of what a value or a reading of a capture
// shares, from 1; 0 if there are too many.
func (w *words) formNumber(c *record.Capture, shared any) int {
	fs := &w.forms
	if i := fs.near(shared, inSheet(c, columnOf(shared))); i >= 0 {
		return i + 1
	}
	f := formOf(c, shared)
	said := formKey{contentOf(f.of), f.own}
	i, there := fs.at[said]
	if !there {
		if i = len(fs.all); i == maxForms {
			return 0
		}
		for _, text := range textsOf(f.of) {
			*text = strings.Clone(*text) // no part of a larger text
		}
		w.mu.Lock()
		fs.all, fs.above = append(fs.all, f), append(fs.above, textsAbove{})
		w.mu.Unlock()
		fs.at[said] = i
	}
	fs.all[i].last.Store(shared)
	fs.next = i + 1
	return i + 1
}

// formOf is the form of what a value or a reading of a capture shares.
func formOf(c *record.Capture, shared any) *form {
	f := &form{of: copyOf(shared), own: inSheet(c, columnOf(shared))}
	if f.own {
		column := columnOf(f.of)
		column.File, column.Sheet = "", ""
	}
	return f
}

// form returns what the form with a number, or that which follows, is in a capture.
func (t *taker) form(c *record.Capture, n uint64) any {
	var f *form
	switch {
	case n == 0:
		f = t.readForm()
	case n <= uint64(len(t.known.forms)):
		f = t.known.forms[n-1]
	default:
		t.fail()
		return nil
	}
	if !f.own {
		return f.of
	}
	if last := f.last.Load(); last != nil && inSheet(c, columnOf(last)) {
		return last
	}
	own := copyOf(f.of)
	column := columnOf(own)
	column.File, column.Sheet = c.File, c.Sheet
	f.last.Store(own)
	return own
}

// inSheet reports whether an address is in the sheet of a capture.
func inSheet(c *record.Capture, a *record.Address) bool {
	return a.File == c.File && a.Sheet == c.Sheet
}

func columnOf(shared any) *record.Address {
	if f, ok := shared.(*record.Field); ok {
		return &f.Column
	}
	return &shared.(*record.Series).Column
}

func contentOf(shared any) any {
	if f, ok := shared.(*record.Field); ok {
		return *f
	}
	return *shared.(*record.Series)
}

func copyOf(shared any) any {
	switch s := contentOf(shared).(type) {
	case record.Field:
		return &s
	case record.Series:
		return &s
	}
	return nil
}

func textsOf(shared any) []*string {
	if f, ok := shared.(*record.Field); ok {
		return []*string{&f.Term, &f.Column.File, &f.Column.Sheet, &f.Remark, &f.Undecided}
	}
	s := shared.(*record.Series)
	return []*string{&s.Measurement, &s.Unit, &s.WrittenUnit, &s.Instrument, &s.Observer, &s.Heading, &s.Side, &s.Column.File, &s.Column.Sheet, &s.Undecided}
}

// Marks at the head of a form.
const (
	formOwn = 1 << iota
	formSeries
)

// writeForm writes a form.
func (w *writer) writeForm(f *form) {
	of := f.of
	var marks byte
	if f.own {
		marks |= formOwn
	}
	if _, ok := of.(*record.Series); ok {
		marks |= formSeries
	}
	w.byte(marks)
	for _, text := range textsOf(of) {
		w.text("form", *text)
	}
	column := columnOf(of)
	w.int(column.Row)
	w.int(column.Column)
	switch of := of.(type) {
	case *record.Field:
		w.bool(of.Wrong)
	case *record.Series:
		w.float(of.Resolution)
		w.int(of.Replicate)
		w.bool(of.Comma)
		w.bool(of.Guessed)
		w.bool(of.Derived)
	}
}

func (r *reader) readForm() *form {
	marks := r.byte()
	var of any = &record.Field{}
	if marks&formSeries != 0 {
		of = &record.Series{}
	}
	for _, text := range textsOf(of) {
		*text = r.text()
	}
	column := columnOf(of)
	column.Row, column.Column = r.int(), r.int()
	switch of := of.(type) {
	case *record.Field:
		of.Wrong = r.byte() == 1
	case *record.Series:
		of.Resolution, of.Replicate = r.float(), r.int()
		of.Comma, of.Guessed, of.Derived = r.byte() == 1, r.byte() == 1, r.byte() == 1
	}
	return &form{of: of, own: marks&formOwn != 0}
}

// bool writes a byte, 1 for true.
func (w *writer) bool(v bool) {
	if v {
		w.byte(1)
	} else {
		w.byte(0)
	}
}
