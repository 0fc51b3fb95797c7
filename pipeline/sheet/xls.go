package sheet

import (
	"fmt"
	"io"

	"golang.org/x/text/encoding/charmap"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline/record"
)

// xlsBook is what the first part of a BIFF stream says about the workbook.
type xlsBook struct {
	file     string
	stream   []byte
	biff8    bool
	date1904 bool
	page     *charmap.Charmap // encoding of BIFF5 strings
	texts    []string         // shared strings
	formats  map[int]string
	xfs      []xlsXF
	struck   []bool   // by font: it crosses out
	palette  []string // colours from index 8
	tabs     []xlsTabEntry
	styles   map[int]cellStyle
}

// xlsXF is a cell style: font, number format, and fill by index of colour.
type xlsXF struct {
	font    int
	format  int
	pattern int
	colour  int
}

// xlsTabEntry is a tab as listed in the workbook.
type xlsTabEntry struct {
	name   string
	at     int // offset of its records
	hidden bool
	sheet  bool // holds cells; charts and modules do not
}

// readXLS reads the tabs of an XLS workbook: BIFF8 (1997 to 2003, [MS-XLS])
// and BIFF5 (1993 to 1996).
func readXLS(name string, f io.ReaderAt, size int64, o Options) (sheets []record.Sheet, found []record.Finding, err error) {
	damaged := func(err error) *Error {
		return &Error{File: name, Cause: "the workbook is damaged", Advice: adviceCopy, Err: err}
	}
	defer func() {
		if p := recover(); p != nil {
			sheets, found, err = nil, nil, damaged(fmt.Errorf("%v", p))
		}
	}()
	stream, err := biffStream(f, size)
	if err != nil {
		return nil, nil, damaged(err)
	}
	b := &xlsBook{file: name, stream: stream, page: charmap.Windows1252, formats: map[int]string{}, styles: map[int]cellStyle{}}
	if err := b.globals(); err != nil {
		if e, ok := err.(*Error); ok {
			return nil, nil, e
		}
		return nil, nil, damaged(err)
	}
	var tabs []xlsTabEntry
	var names []string
	for _, t := range b.tabs {
		if t.sheet {
			tabs, names = append(tabs, t), append(names, t.name)
		}
	}
	wanted, err := pick(name, names, o.Tabs)
	if err != nil {
		return nil, nil, err
	}
	used := newSpent(o.Budgets)
	for i, t := range tabs {
		if !wanted[i] {
			continue
		}
		g := newGrid(name, t.name, used)
		g.hidden = t.hidden
		reader := &xlsTab{book: b, grid: g, notes: map[int]place{}, texts: map[int]string{}}
		if err := reader.read(t.at); err != nil {
			if used.over != nil {
				return nil, nil, used.over
			}
			return nil, nil, &Error{File: name, Sheet: t.name, Row: reader.row, Cause: "the tab is damaged", Advice: adviceCopy, Err: err}
		}
		one, fs, err := g.sheet()
		if err != nil {
			return nil, nil, err
		}
		sheets, found = append(sheets, one), append(found, fs...)
	}
	return sheets, found, nil
}

// globals reads the records before the tabs.
func (b *xlsBook) globals() error {
	first, err := biffAt(b.stream, 0)
	if err != nil {
		return err
	}
	if first.id != recBOF || first.u16(0) != 0x0500 && first.u16(0) != 0x0600 {
		return &Error{File: b.file, Cause: "this workbook's format is too old", Advice: adviceExport}
	}
	b.biff8 = first.u16(0) == 0x0600
	var sst [][]byte
	inSST := false
	for at := first.next; ; {
		r, err := biffAt(b.stream, at)
		if err != nil {
			return err
		}
		at = r.next
		switch {
		case r.id == recEOF:
			if sst != nil {
				b.texts, err = readSST(sst)
			}
			return err
		case r.id == recSST, r.id == recContinue && inSST:
			sst, inSST = append(sst, r.data), true
			continue
		}
		inSST = false
		if err := b.global(r); err != nil {
			return err
		}
	}
}

func (b *xlsBook) global(r biffRecord) error {
	switch r.id {
	case recFilePass:
		return &Error{File: b.file, Cause: "the workbook is protected by a password", Advice: adviceOpen}
	case recDateMode:
		b.date1904 = r.u16(0) == 1
	case recCodePage:
		if p, ok := codePages[r.u16(0)]; ok {
			b.page = p
		}
	case recFormat:
		code, err := b.format(r)
		if err != nil {
			return err
		}
		b.formats[r.u16(0)] = code
	case recFont:
		if b.struck = append(b.struck, r.u16(2)&8 != 0); len(b.struck) == 4 {
			b.struck = append(b.struck, false) // no font has the number 4 ([MS-XLS] 2.5.129)
		}
	case recXF:
		b.xfs = append(b.xfs, b.xf(r))
	case recPalette:
		for i := 2; i+4 <= len(r.data); i += 4 {
			b.palette = append(b.palette, fmt.Sprintf("%02X%02X%02X", r.data[i], r.data[i+1], r.data[i+2]))
		}
	case recBoundSheet:
		if err := r.need(7); err != nil {
			return err
		}
		t := xlsTabEntry{at: int(r.u32(0)), hidden: r.data[4]&3 != 0, sheet: r.data[5] == 0}
		var err error
		t.name, err = b.short(r.data[6:])
		b.tabs = append(b.tabs, t)
		return err
	}
	return nil
}

// short reads a string with one byte of length before it.
func (b *xlsBook) short(data []byte) (string, error) {
	if b.biff8 {
		return wide8(data, 1)
	}
	if len(data) < 1 || len(data) < 1+int(data[0]) {
		return "", errShort
	}
	return b.decode(data[1 : 1+int(data[0])]), nil
}

// long reads a string with two bytes of length before it.
func (b *xlsBook) long(data []byte) (string, error) {
	if b.biff8 {
		return wide8(data, 2)
	}
	if len(data) < 2 {
		return "", errShort
	}
	n := int(data[0]) | int(data[1])<<8
	if len(data) < 2+n {
		return "", errShort
	}
	return b.decode(data[2 : 2+n]), nil
}

func (b *xlsBook) decode(data []byte) string {
	s, _ := b.page.NewDecoder().Bytes(data)
	return string(s)
}

func (b *xlsBook) format(r biffRecord) (string, error) {
	if err := r.need(3); err != nil {
		return "", err
	}
	if b.biff8 {
		return b.long(r.data[2:])
	}
	return b.short(r.data[2:])
}

// xf reads a cell style. The fill is in other places in BIFF5.
func (b *xlsBook) xf(r biffRecord) xlsXF {
	x := xlsXF{font: r.u16(0), format: r.u16(2)}
	if b.biff8 {
		x.pattern = int(r.u32(14) >> 26)
		x.colour = r.u16(18) & 0x7f
	} else {
		x.colour = r.u16(8) & 0x7f
		x.pattern = r.u16(10) & 0x3f
	}
	return x
}

// style returns what a style number means.
func (b *xlsBook) style(id int) cellStyle {
	if s, ok := b.styles[id]; ok {
		return s
	}
	var s cellStyle
	if id < len(b.xfs) {
		x := b.xfs[id]
		code, ok := b.formats[x.format]
		if !ok {
			code = builtinFormats()[x.format]
		}
		s.format = parseFormat(code)
		s.struck = x.font < len(b.struck) && b.struck[x.font]
		if x.pattern > 0 {
			s.fill = fillColour(b.colour(x.colour))
		}
	}
	b.styles[id] = s
	return s
}

// colour returns a colour by index: 0 to 7 are fixed, those from 8 the
// workbook's own palette or the usual one.
func (b *xlsBook) colour(i int) string {
	if k := i - 8; k >= 0 && k < len(b.palette) {
		return b.palette[k]
	}
	if i < 64 && i < len(excelize.IndexedColorMapping) {
		return excelize.IndexedColorMapping[i]
	}
	return ""
}
