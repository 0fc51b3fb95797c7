package pipeline

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
)

// named is a capture, by its ordinal, with a digest of what was written of it.
type named struct {
	ordinal int
	written digest.Digest
}

// written is the digest of a capture's contents.
func written(c *record.Capture) digest.Digest { return digest.Start.Text(contents(c)) }

// numbered tells captures of one key, or of none, apart by what was written of
// them, so that no identifier hangs on the order of rows: for each ordinal the
// number among captures of equal contents, from 1. The one that keeps the key to itself
// has 0: the first in the order of digests.
func numbered(key string, group []named) map[int]int {
	slices.SortFunc(group, func(a, b named) int { return cmp.Or(cmp.Compare(a.written, b.written), a.ordinal-b.ordinal) })
	out := map[int]int{}
	nth := 0
	for i, c := range group {
		nth++
		if i > 0 && c.written != group[i-1].written {
			nth = 1
		}
		if out[c.ordinal] = nth; i == 0 && key != "" {
			out[c.ordinal] = 0
		}
	}
	return out
}

// identifierOf makes an identifier: from the key alone, or from the key and the
// contents of a capture that is the nth with these.
func (w *walk) identifierOf(c *record.Capture, nth int) string {
	key := c.Key
	if placeholder(c) {
		key, nth = "", max(nth, 1)
	}
	if nth == 0 {
		return w.identifier(key)
	}
	text := key + "\x1f" + contents(c)
	if nth > 1 {
		text += "\x1f" + strconv.Itoa(nth)
	}
	return w.identifier(text)
}

// sameAs is equal for captures that must be told apart: of one key, or without
// one and with the same contents.
func sameAs(c *record.Capture) string {
	if placeholder(c) {
		return "\x1f" + contents(c)
	}
	return c.Key
}

// placeholderOf is what a capture without a key is called, after its row.
func placeholderOf(c *record.Capture) string { return "(" + c.Address().String() + ")" }

// call calls a capture after its row where it has no key.
func call(c *record.Capture) {
	if c.Key == "" {
		c.Key = placeholderOf(c)
	}
}

// placeholder reports whether a capture is called after its row, having no key.
func placeholder(c *record.Capture) bool { return c.Key == placeholderOf(c) }

// contents is everything that was written of a capture in its sheet, sorted, so
// that it is the same wherever rows and columns stand, and before and after
// weighing and remedies.
func contents(c *record.Capture) string {
	var lines []string
	add := func(name, text string, from record.Address) {
		if text != "" && from.File == c.File && from.Sheet == c.Sheet {
			lines = append(lines, name+"="+text)
		}
	}
	for i := range c.Values {
		add(c.Values[i].Term, c.Values[i].Verbatim, c.Values[i].From)
	}
	for i := range c.Readings {
		if r := &c.Readings[i]; !weighed(c, r) {
			add(r.Measurement, r.Verbatim, r.From)
		}
	}
	if w := c.Weighing; w != nil {
		for _, part := range []struct {
			name string
			*record.Reading
		}{{record.Gross, w.Gross}, {record.Tare, w.Tare}, {record.Net, w.Net}} {
			if part.Reading != nil && !part.Derived {
				add(part.name, part.Verbatim, part.From)
			}
		}
	}
	for _, e := range c.Extras {
		add(e.Heading, e.Text, e.From)
	}
	slices.Sort(lines)
	return strings.Join(lines, "\x1f")
}

// weighed reports whether a reading was added by weighing.
func weighed(c *record.Capture, r *record.Reading) bool {
	if r.Derived || c.Weighing == nil {
		return r.Derived
	}
	of := func(part *record.Reading) bool { return part != nil && part.From == r.From }
	return of(c.Weighing.Gross) || of(c.Weighing.Net)
}

// keyAddress is the cell of the first key term, or where it should stand.
func (w *walk) keyAddress(c *record.Capture) record.Address {
	at := c.Address()
	key := w.keyTermsOf(c)
	for _, term := range key {
		if v := c.Value(term); v != nil && v.From.File == c.File {
			return v.From
		}
	}
	for _, col := range w.columnsOf(c) {
		if len(key) > 0 && col.Meaning.Term == key[0] {
			at.Column = col.Number
		}
	}
	return at
}
