package store

import (
	"strings"

	"spadefoot/pipeline/record"
)

// maxForms is the number of forms of values, and of readings, that are kept.
const maxForms = 4096

// maxNear is how many forms are looked at before one is looked up.
const maxNear = 32

// forms are what values and readings of many captures have in common: all but texts,
// numbers, remarks and the row. They are written once and then called by their number.
type forms struct {
	values   numbered[record.Value]
	readings numbered[record.Reading]
	above    []above // by number of the form of a value, the first for those without
}

// above is what a value of a form said last.
type above struct{ text, verbatim near }

// numbered are forms by their number. After a form mostly comes the one that came after
// it first, or one not far behind that.
type numbered[T comparable] struct {
	all  []T
	at   map[T]int
	next int
}

// near returns the number of a form among those that likely come next, -1 for none.
func (n *numbered[T]) near(same func(form *T) bool) int {
	i := n.next
	for range min(len(n.all), maxNear) {
		if i >= len(n.all) {
			i = 0
		}
		if same(&n.all[i]) {
			n.next = i + 1
			return i
		}
		i++
	}
	return -1
}

// find looks a form up.
func (n *numbered[T]) find(form T) int {
	i, there := n.at[form]
	if !there {
		return -1
	}
	n.next = i + 1
	return i
}

// add numbers a new form.
func (n *numbered[T]) add(form T) int {
	if n.at == nil {
		n.at = map[T]int{}
	}
	n.all = append(n.all, form)
	n.at[form], n.next = len(n.all)-1, len(n.all)
	return len(n.all) - 1
}

// Rows in the address of a form. That of what stands nowhere has none.
const (
	formOwnRow    = 1 // the row of the capture, in the sheet of the capture
	formElsewhere = 2 // the address is written with each
)

// addressForm returns row and column of an address in its form.
func addressForm(c *record.Capture, a *record.Address) (row, column int) {
	switch {
	case a.Row == c.Row && a.File == c.File && a.Sheet == c.Sheet:
		return formOwnRow, a.Column
	case *a == record.Address{}:
		return 0, 0
	}
	return formElsewhere, 0
}

// formOfValue is the form of a value with such an address, and formOfReading that of a
// reading.
func formOfValue(v *record.Value, row, column int) record.Value {
	return record.Value{Term: v.Term, From: record.Address{Row: row, Column: column}, Wrong: v.Wrong, Undecided: v.Undecided}
}

func formOfReading(r *record.Reading, row, column int) record.Reading {
	f := *r
	f.Number, f.Low, f.High, f.Accuracy, f.Text, f.Verbatim, f.Remark = 0, 0, 0, 0, "", "", ""
	f.From = record.Address{Row: row, Column: column}
	return f
}

// valueNumber returns the number of the form of a value, from 1; 0 where there are too
// many. readingNumber does so for a reading.
func (w *words) valueNumber(v *record.Value, row, column int) int {
	all := &w.forms.values
	n := all.near(func(f *record.Value) bool {
		return f.From.Row == row && f.From.Column == column && f.Term == v.Term && f.Wrong == v.Wrong && f.Undecided == v.Undecided
	})
	if n >= 0 {
		return n + 1
	}
	form := formOfValue(v, row, column)
	if n = all.find(form); n >= 0 || len(all.all) == maxForms {
		return n + 1
	}
	form.Term, form.Undecided = strings.Clone(form.Term), strings.Clone(form.Undecided) // no part of a larger text
	w.mu.Lock()
	defer w.mu.Unlock()
	w.forms.above = append(w.forms.above, above{})
	return all.add(form) + 1
}

func (w *words) readingNumber(r *record.Reading, row, column int) int {
	all := &w.forms.readings
	n := all.near(func(f *record.Reading) bool {
		return f.From.Row == row && f.From.Column == column && f.Measurement == r.Measurement && f.State == r.State && f.Decimals == r.Decimals &&
			f.Resolution == r.Resolution && f.Replicate == r.Replicate && f.Comma == r.Comma && f.Guessed == r.Guessed && f.Derived == r.Derived &&
			f.Unit == r.Unit && f.WrittenUnit == r.WrittenUnit && f.Instrument == r.Instrument && f.Observer == r.Observer && f.Heading == r.Heading &&
			f.Side == r.Side && f.Undecided == r.Undecided
	})
	if n >= 0 {
		return n + 1
	}
	form := formOfReading(r, row, column)
	if n = all.find(form); n >= 0 || len(all.all) == maxForms {
		return n + 1
	}
	for _, text := range []*string{&form.Measurement, &form.Unit, &form.WrittenUnit, &form.Instrument, &form.Observer, &form.Heading, &form.Side, &form.Undecided} {
		*text = strings.Clone(*text)
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	return all.add(form) + 1
}

// valueForm writes a form, and readingForm one of a reading.
func (w *writer) valueForm(f *record.Value) {
	w.text("term", f.Term)
	w.int(f.From.Row)
	w.int(f.From.Column)
	w.bool(f.Wrong)
	w.text("rule", f.Undecided)
}

func (r *reader) valueForm() record.Value {
	return record.Value{Term: r.text(), From: record.Address{Row: r.int(), Column: r.int()}, Wrong: r.byte() == 1, Undecided: r.text()}
}

func (w *writer) readingForm(f *record.Reading) {
	w.text("measurement", f.Measurement)
	w.byte(byte(f.State))
	w.int(f.Decimals)
	w.text("unit", f.Unit)
	w.text("unit", f.WrittenUnit)
	w.float(f.Resolution)
	w.text("instrument", f.Instrument)
	w.text("observer", f.Observer)
	w.text("heading", f.Heading)
	w.text("side", f.Side)
	w.int(f.Replicate)
	w.int(f.From.Row)
	w.int(f.From.Column)
	w.bool(f.Comma)
	w.bool(f.Guessed)
	w.bool(f.Derived)
	w.text("rule", f.Undecided)
}

func (r *reader) readingForm() record.Reading {
	return record.Reading{Measurement: r.text(), State: record.State(r.byte()), Decimals: r.int(), Unit: r.text(), WrittenUnit: r.text(), Resolution: r.float(),
		Instrument: r.text(), Observer: r.text(), Heading: r.text(), Side: r.text(), Replicate: r.int(),
		From: record.Address{Row: r.int(), Column: r.int()}, Comma: r.byte() == 1, Guessed: r.byte() == 1, Derived: r.byte() == 1, Undecided: r.text()}
}

// bool writes a byte, 1 for true.
func (w *writer) bool(v bool) {
	if v {
		w.byte(1)
	} else {
		w.byte(0)
	}
}
