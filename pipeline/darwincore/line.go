package darwincore

import (
	"math/bits"
	"strings"
)

// Line is the row of the core that a Scribe made last. It is valid until the
// Scribe makes the next.
type Line struct {
	table *slotTable
	texts []string // by slot
	has   marks    // slots with a text
	same  marks    // of these, those whose text is the same for every capture
}

func newLine() Line { return Line{table: slots(), texts: make([]string, len(slots().names))} }

// Get gives the text of a term, or "". It is cheap: no search, no memory.
func (l *Line) Get(term string) string {
	if i := l.table.slot(term); i >= 0 {
		return l.texts[i]
	}
	return ""
}

// Row copies the line.
func (l *Line) Row() Row {
	n := 0
	for _, word := range l.has {
		n += bits.OnesCount64(word)
	}
	row := make(Row, 0, n)
	for _, i := range l.has.numbers() {
		row = append(row, Field{l.table.names[i], l.texts[i]})
	}
	return row
}

// set puts a text into a slot, in place of one that is there. White space at
// the ends is dropped; an empty text is not set.
func (l *Line) set(slot int, text string) {
	if text = strings.TrimSpace(text); text != "" {
		l.texts[slot] = text
		l.has.add(slot)
	}
}

func (l *Line) clear() {
	for w, word := range l.has {
		for ; word != 0; word &= word - 1 {
			l.texts[w<<6+bits.TrailingZeros64(word)] = ""
		}
	}
	l.has, l.same = marks{}, marks{}
}
