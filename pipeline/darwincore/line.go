package darwincore

import (
	"math/bits"
	"strings"
	"unicode/utf8"
)

// Line is the row of the core that a RowWriter made last. It is valid until the
// RowWriter makes the next.
type Line struct {
	table *slotTable
	texts []string // by slot; what stands in a slot without a text is of an earlier line
	has   marks    // slots with a text
	same  marks    // of these, those whose text the builder has as CSV
	fixed marks    // of these, those whose text is that of every row that does not say otherwise
	moved marks    // slots that were taken out since the event says them
}

func newLine() Line { return Line{table: slots(), texts: make([]string, len(slots().All))} }

// Get returns the text of a term, or "". It is cheap: no search, no memory.
func (l *Line) Get(term string) string {
	if i := l.table.Place(term); i >= 0 {
		return l.text(i)
	}
	return ""
}

// text returns the text of a slot, or "".
func (l *Line) text(slot int) string {
	if l.has.has(slot) {
		return l.texts[slot]
	}
	return ""
}

// Slots are the places of terms in a line, for Texts.
func Slots(names []string) []int {
	out := make([]int, len(names))
	for i, name := range names {
		out[i] = slots().Place(name)
	}
	return out
}

// Texts appends the texts of some terms, "" for those that the line does not have.
func (l *Line) Texts(to []string, slots []int) []string {
	for _, i := range slots {
		text := ""
		if i >= 0 {
			text = l.text(i)
		}
		to = append(to, text)
	}
	return to
}

// Row copies the line.
func (l *Line) Row() Row {
	n := 0
	for _, word := range l.has {
		n += bits.OnesCount64(word)
	}
	row := make(Row, 0, n)
	for _, i := range l.has.numbers() {
		row = append(row, Field{l.table.All[i], l.texts[i]})
	}
	return row
}

// set puts a text into a slot, in place of one that is there. White space at
// the ends is dropped; an empty text is not set.
func (l *Line) set(slot int, text string) {
	if text = trimmed(text); text != "" {
		l.texts[slot] = text
		l.has.add(slot)
	}
}

// trimmed is strings.TrimSpace; most texts have nothing to trim, as the first and
// the last byte show.
func trimmed[T string | []byte](text T) T {
	if n := len(text); n == 0 || solid(text[0]) && solid(text[n-1]) {
		return text
	}
	return T(strings.TrimSpace(string(text)))
}

// solid reports whether a byte is a character by itself and no white space.
func solid(b byte) bool { return ' ' < b && b < utf8.RuneSelf }

// drop takes a text out since the event says it.
func (l *Line) drop(slot int) {
	l.moved.add(slot)
	l.has[slot>>6] &^= 1 << (slot & 63)
}

// needs returns the slots that have to be columns on account of this line: what
// it has, save what is the same in every row, and what is the same in others
// and not here.
func (l *Line) needs(fixed *marks) marks {
	out, here := *fixed, l.fixed
	here.meet(&l.has)
	out.join(&l.has)
	out.less(&here)
	moved := l.moved
	moved.less(&l.has)
	out.less(&moved)
	return out
}

func (l *Line) clear() { l.has, l.same, l.fixed, l.moved = marks{}, marks{}, marks{}, marks{} }
