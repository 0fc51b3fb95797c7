// Package keys identifies captures by their keys and contents. It reports
// missing and repeated keys, and sheets that were submitted twice.
package keys

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/record/sorting"
)

// Named is a capture, by its ordinal, with a digest of what was written of it.
type Named struct {
	Ordinal int
	Written digest.Digest
}

// Digest is that of a capture's contents.
func Digest(c *record.Capture) digest.Digest { return digest.Start.Text(Contents(c)) }

// Number tells captures of one key, or of none, apart by what was written of
// them, so that no identifier depends on the order of rows: for each ordinal the
// number among captures of equal contents, from 1. The one that keeps the key to itself
// has 0: the first in the order of digests.
func Number(key string, group []Named) map[int]int {
	sorting.Func(group, func(a, b Named) int { return cmp.Or(cmp.Compare(a.Written, b.Written), a.Ordinal-b.Ordinal) })
	out := map[int]int{}
	nth := 0
	for i, c := range group {
		nth++
		if i > 0 && c.Written != group[i-1].Written {
			nth = 1
		}
		if out[c.Ordinal] = nth; i == 0 && key != "" {
			out[c.Ordinal] = 0
		}
	}
	return out
}

// Text is what an identifier is made from: the key alone, or the key and the
// contents of a capture that is the nth with these.
func Text(c *record.Capture, nth int) string {
	key := c.Key
	if Placeholder(c) {
		key, nth = "", max(nth, 1)
	}
	if nth == 0 {
		return key
	}
	text := key + "\x1f" + Contents(c)
	if nth > 1 {
		text += "\x1f" + strconv.Itoa(nth)
	}
	return text
}

// SameAs is equal for captures that would get the same identifier: those of one key,
// and those without one and with the same contents.
func SameAs(c *record.Capture) string {
	if Placeholder(c) {
		return "\x1f" + Contents(c)
	}
	return c.Key
}

// PlaceholderOf is what a capture without a key is called, after its row.
func PlaceholderOf(c *record.Capture) string { return "(" + c.Address().String() + ")" }

// NameAfterRow names a capture after its row where it has no key.
func NameAfterRow(c *record.Capture) {
	if c.Key == "" {
		c.Key = PlaceholderOf(c)
	}
}

// Placeholder reports whether a capture is called after its row, having no key.
func Placeholder(c *record.Capture) bool {
	return strings.HasPrefix(c.Key, "(") && c.Key == PlaceholderOf(c)
}

// Contents is everything that was written of a capture in its sheet, sorted, so
// that it is the same wherever rows and columns stand, and before and after
// weighing and remedies.
func Contents(c *record.Capture) string {
	var lines []string
	add := func(name, text string, from record.Address) {
		if text != "" && from.File == c.File && from.Sheet == c.Sheet {
			lines = append(lines, name+"="+text)
		}
	}
	for i := range c.Values {
		add(c.Values[i].Term, c.Values[i].Verbatim, c.Values[i].From())
	}
	for i := range c.Readings {
		if r := &c.Readings[i]; !weighed(c, r) {
			add(r.Measurement, r.Verbatim, r.From())
		}
	}
	if w := c.Weighing; w != nil {
		for _, part := range []struct {
			name string
			*record.Reading
		}{{record.Gross, w.Gross}, {record.Tare, w.Tare}, {record.Net, w.Net}} {
			if part.Reading != nil && !part.Derived {
				add(part.name, part.Verbatim, part.From())
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
	of := func(part *record.Reading) bool { return part != nil && part.From() == r.From() }
	return of(c.Weighing.Gross) || of(c.Weighing.Net)
}
