package sheet

import (
	"cmp"
	"errors"
	"strings"

	"spadefoot/pipeline/record"
)

// faults are the errors of a spreadsheet program by number ([MS-XLS] 2.5.10).
var faults = map[byte]string{0x00: "#NULL!", 0x07: "#DIV/0!", 0x0f: "#VALUE!", 0x17: "#REF!", 0x1d: "#NAME?", 0x24: "#NUM!", 0x2a: "#N/A"}

// xlsTab reads the records of one tab.
type xlsTab struct {
	book    *xlsBook
	grid    *grid
	row     int            // row of the last cell, from 1
	awaits  *record.Cell   // a formula whose text comes in a STRING record
	object  int            // number of the last drawn object
	letters int            // characters of the comment that the next CONTINUE holds
	notes   map[int]place  // comments of BIFF8 by object
	texts   map[int]string // texts of objects
	last    place          // comment of BIFF5 that further records continue
}

func (t *xlsTab) read(at int) error {
	first, err := biffAt(t.book.stream, at)
	if err != nil {
		return err
	}
	if first.id != recBOF {
		return errors.New("it does not begin where the workbook says")
	}
	depth := 1 // embedded charts have a beginning and end of their own
	for at = first.next; depth > 0; {
		r, err := biffAt(t.book.stream, at)
		if err != nil {
			return err
		}
		at = r.next
		switch {
		case r.id == recBOF:
			depth++
		case r.id == recEOF:
			depth--
		case depth == 1:
			if err := errors.Join(t.record(r), t.grid.spent.err()); err != nil {
				return err
			}
		}
	}
	t.unanswered()
	for object, p := range t.notes {
		if text := t.texts[object]; text != "" {
			t.grid.comments[p] = text
		}
	}
	return nil
}

func (t *xlsTab) record(r biffRecord) error {
	switch r.id {
	case recNumber, recRK, recLabel, recRString, recLabelSST, recBoolErr, recBlank, recFormula, 0x0206, 0x0406:
		return t.cell(r)
	case recMulRK:
		return t.several(r, 6)
	case recMulBlank:
		return t.several(r, 2)
	case recString:
		return t.formulaText(r)
	case recRow:
		if r.u16(12)&0x20 != 0 {
			t.grid.hiddenRows[r.u16(0)+1] = true
		}
	case recColInfo:
		for c := r.u16(0); r.u16(8)&1 != 0 && c <= min(r.u16(2), 255); c++ {
			t.grid.hiddenCols[c+1] = true
		}
	case recMerged:
		for i := 2; i+8 <= len(r.data); i += 8 {
			t.grid.merge(record.Rectangle{Top: r.u16(i) + 1, Bottom: r.u16(i+2) + 1, Left: r.u16(i+4) + 1, Right: r.u16(i+6) + 1})
		}
	case recObj:
		t.object = r.u16(6)
	case recTxO:
		t.letters = r.u16(10)
	case recContinue:
		t.objectText(r)
	case recNote:
		return t.note(r)
	}
	return nil
}

// at begins a cell from the first six bytes of its record.
func (t *xlsTab) at(row, column, style int) (record.Cell, cellStyle) {
	t.row = row + 1
	s := t.book.style(style)
	return s.cell(row+1, column+1), s
}

func (t *xlsTab) cell(r biffRecord) error {
	if err := r.need(6); err != nil {
		return err
	}
	c, style := t.at(r.u16(0), r.u16(2), r.u16(4))
	switch r.id {
	case recBlank:
		t.grid.put(c)
	case recNumber:
		t.grid.putNumber(c, r.f64(6), style.format, t.book.date1904)
		return r.need(14)
	case recRK:
		t.grid.putNumber(c, rk(r.u32(6)), style.format, t.book.date1904)
		return r.need(10)
	case recLabel, recRString:
		s, err := t.book.long(r.data[6:])
		t.grid.putText(c, strings.TrimRight(s, "\x00")) // some programs pad it
		return err
	case recLabelSST:
		i := int(r.u32(6))
		if len(r.data) < 10 || i >= len(t.book.texts) {
			return errors.New("a cell points at a text that is not there")
		}
		t.grid.putText(c, t.book.texts[i])
	case recBoolErr:
		if err := r.need(8); err != nil {
			return err
		}
		t.boolOrFault(c, r.data[6], r.data[7] != 0)
	default:
		return t.formula(c, style, r)
	}
	return nil
}

func (t *xlsTab) boolOrFault(c record.Cell, v byte, fault bool) {
	if !fault {
		t.grid.putBool(c, v != 0)
		return
	}
	t.grid.putFault(c, cmp.Or(faults[v], "#ERROR!"))
}

// formula reads the cached result of a formula: a number, or where the last two
// bytes are FF a text that follows, a truth value, an error, or an empty text.
func (t *xlsTab) formula(c record.Cell, style cellStyle, r biffRecord) error {
	if err := r.need(14); err != nil {
		return err
	}
	c.Formula = true
	t.unanswered()
	result := r.data[6:14]
	if result[6] != 0xff || result[7] != 0xff {
		t.grid.putNumber(c, r.f64(6), style.format, t.book.date1904)
		return nil
	}
	switch result[0] {
	case 0:
		t.awaits = &c
	case 1:
		t.grid.putBool(c, result[2] != 0)
	case 2:
		t.boolOrFault(c, result[2], true)
	default:
		t.grid.put(c)
	}
	return nil
}

// unanswered keeps a formula whose text never came.
func (t *xlsTab) unanswered() {
	if t.awaits != nil {
		t.grid.noValue(*t.awaits, "")
		t.awaits = nil
	}
}

func (t *xlsTab) formulaText(r biffRecord) error {
	if t.awaits == nil {
		return nil
	}
	s, err := t.book.long(r.data)
	t.grid.putText(*t.awaits, s)
	t.awaits = nil
	return err
}

// several reads a record of neighbouring cells, each of size bytes: style, and
// a short number where there is one.
func (t *xlsTab) several(r biffRecord, size int) error {
	if err := r.need(6); err != nil {
		return err
	}
	row, column := r.u16(0), r.u16(2)
	for i := 4; i+size <= len(r.data)-2; i += size {
		c, style := t.at(row, column, r.u16(i))
		column++
		if size == 2 {
			t.grid.put(c)
			continue
		}
		t.grid.putNumber(c, rk(r.u32(i+2)), style.format, t.book.date1904)
	}
	return nil
}

// objectText reads the characters that follow a text object.
func (t *xlsTab) objectText(r biffRecord) {
	if t.letters == 0 || len(r.data) == 0 {
		return
	}
	wide := r.data[0]&1 != 0
	size := 1
	if wide {
		size = 2
	}
	k := min(t.letters, (len(r.data)-1)/size)
	s, _, _ := characters(r.data[1:], k, wide)
	t.texts[t.object] += s
	t.letters -= k
}

// note reads a comment: in BIFF8 the object that holds its text, in BIFF5 the
// text itself, up to 2048 bytes a record, with row FFFF in those that go on.
func (t *xlsTab) note(r biffRecord) error {
	if err := r.need(6); err != nil {
		return err
	}
	p := place{r.u16(0) + 1, r.u16(2) + 1}
	if t.book.biff8 {
		t.notes[r.u16(6)] = p
		return nil
	}
	text := strings.ReplaceAll(t.book.decode(r.data[6:]), "\r", "\n")
	if p.row == 0x10000 {
		t.grid.comments[t.last] += text
		return nil
	}
	t.last = p
	t.grid.comments[p] = text
	return nil
}
