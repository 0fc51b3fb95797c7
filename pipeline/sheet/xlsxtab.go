package sheet

import (
	"encoding/xml"
	"errors"
	"io"
	"path"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline/record"
)

var errCutShort = errors.New("it ends before its last row")

// readTab reads one worksheet part.
func (b *xlsxBook) readTab(name, target string, used *spent) (g *grid, err error) {
	damaged := &Error{File: b.file, Sheet: name, Cause: "the tab is damaged", Advice: adviceCopy}
	e := b.zip.part(target)
	if e == nil {
		damaged.Cause = "the tab is listed but missing from the workbook"
		return nil, damaged
	}
	before := *used
	damaged.Err = b.zip.tokens(e, func(m markup) error {
		*used, g = before, newGrid(b.file, name, used)
		t := &xlsxTab{book: b, grid: g, xml: m}
		err := t.read()
		damaged.Row = t.row
		return err
	})
	if over := used.err(); over != nil {
		return nil, over
	}
	if damaged.Err != nil {
		return nil, damaged
	}
	dir, base := path.Split(target)
	if b.zip.part(dir+"_rels/"+base+".rels") == nil {
		return g, nil // nothing belongs to this tab; asking takes a walk through all tabs
	}
	comments, err := b.book.GetComments(name)
	if err != nil {
		return nil, &Error{File: b.file, Sheet: name, Cause: "the comments cannot be read", Advice: adviceCopy, Err: err}
	}
	for _, c := range comments {
		col, row, err := excelize.CellNameToCoordinates(c.Cell)
		if err != nil {
			continue
		}
		text := c.Text
		for _, run := range c.Paragraph {
			text += run.Text
		}
		g.comments[place{row, col}] = text
	}
	return g, nil
}

// xlsxTab reads the XML of a worksheet as a stream (ECMA-376 Part 1, 18.3).
type xlsxTab struct {
	book        *xlsxBook
	grid        *grid
	xml         markup
	row, column int
	whole       bool // the end of the rows was seen
	hiddenTo    int  // last column that is hidden, since they come in order

	// of the cell that is being read
	in                     []string // the elements that are open in it
	value, formula, inline []byte
}

func (t *xlsxTab) read() error {
	for {
		tok, err := t.xml.token()
		if err == io.EOF {
			if !t.whole {
				return errCutShort
			}
			return nil
		}
		if err != nil {
			return err
		}
		switch tok.kind {
		case begin:
			if err := t.start(tok.element); err != nil {
				return err
			}
		case finish:
			if tok.element.Name.Local == "sheetData" || tok.element.Name.Local == "worksheet" {
				t.whole = true
			}
		}
	}
}

func (t *xlsxTab) start(e xml.StartElement) error {
	switch e.Name.Local {
	case "col":
		if on(attr(e, "hidden")) {
			from, _ := strconv.Atoi(attr(e, "min"))
			to, _ := strconv.Atoi(attr(e, "max"))
			for c := max(from, t.hiddenTo+1); c <= min(to, excelize.MaxColumns); c++ {
				t.grid.hiddenCols[c] = true
				t.hiddenTo = c
			}
		}
	case "row":
		t.row++
		if n, err := strconv.Atoi(attr(e, "r")); err == nil {
			t.row = n
		}
		if t.row < 1 || t.row > excelize.TotalRows {
			return errors.New("a row has a number that no row can have")
		}
		t.column = 0
		if on(attr(e, "hidden")) {
			t.grid.hiddenRows[t.row] = true
		}
	case "c":
		return t.cell(e)
	case "mergeCell":
		from, to, _ := strings.Cut(attr(e, "ref"), ":")
		left, top, err1 := excelize.CellNameToCoordinates(from)
		right, bottom, err2 := excelize.CellNameToCoordinates(to)
		if err1 == nil && err2 == nil {
			t.grid.merge(record.Rectangle{Top: top, Left: left, Bottom: bottom, Right: right})
		}
	}
	return nil
}

// rawCell is a cell as the file has it.
type rawCell struct {
	kind, value, formula, inline string
	hasValue, hasFormula         bool
	struck                       bool // a part of its own text is
}

func (t *xlsxTab) cell(e xml.StartElement) error {
	if t.row < 1 {
		return errors.New("there is a cell outside the rows")
	}
	t.column++
	if ref := attr(e, "r"); ref != "" {
		col, row, err := placeOf(ref)
		if err != nil || row != t.row {
			return errors.New("a cell has the address " + ref + ", which does not fit its row")
		}
		t.column = col
	}
	if t.column > excelize.MaxColumns {
		return errors.New("a row has more cells than a row can have")
	}
	raw, style := rawCell{kind: attr(e, "t")}, 0
	if s := attr(e, "s"); s != "" {
		style, _ = strconv.Atoi(s)
	}
	if err := t.content(&raw); err != nil {
		return err
	}
	return errors.Join(t.put(raw, t.book.style(style)), t.grid.spent.err())
}

// placeOf is the column and row of an address.
func placeOf(ref string) (column, row int, err error) {
	i := 0
	for ; i < min(len(ref), 3) && 'A' <= ref[i] && ref[i] <= 'Z'; i++ {
		column = 26*column + int(ref[i]-'A'+1)
	}
	if row, err = strconv.Atoi(ref[i:]); err == nil && i > 0 && column <= excelize.MaxColumns {
		return column, row, nil
	}
	return excelize.CellNameToCoordinates(ref)
}

// content reads what a cell element holds, up to its end. Phonetic readings
// beside a text are not part of it.
func (t *xlsxTab) content(raw *rawCell) error {
	t.in, t.value, t.formula, t.inline = t.in[:0], t.value[:0], t.formula[:0], t.inline[:0]
	for {
		tok, err := t.xml.token()
		if err == io.EOF {
			return errCutShort
		}
		if err != nil {
			return err
		}
		switch tok.kind {
		case begin:
			t.in = append(t.in, tok.element.Name.Local)
			raw.struck = raw.struck || strikes(tok.element)
			raw.hasValue = raw.hasValue || tok.element.Name.Local == "v"
			raw.hasFormula = raw.hasFormula || tok.element.Name.Local == "f"
		case finish:
			if len(t.in) == 0 {
				raw.value, raw.formula, raw.inline = string(t.value), string(t.formula), string(t.inline)
				return nil
			}
			t.in = t.in[:len(t.in)-1]
		case letters:
			if len(t.in) == 0 {
				continue
			}
			switch last := t.in[len(t.in)-1]; {
			case last == "v":
				t.value = append(t.value, tok.text...)
			case last == "f":
				t.formula = append(t.formula, tok.text...)
			case last == "t" && !(len(t.in) > 1 && t.in[len(t.in)-2] == "rPh"):
				t.inline = append(t.inline, tok.text...)
			}
		}
	}
}

// put turns a cell as the file has it into one as a person sees it.
func (t *xlsxTab) put(raw rawCell, style cellStyle) error {
	c := style.cell(t.row, t.column)
	if raw.struck {
		c.Strike()
	}
	c.Formula = raw.hasFormula
	value := strings.TrimSpace(raw.value)
	result := value != "" || raw.inline != "" || raw.hasValue && raw.kind == "str" // which may be a blank text
	if raw.hasFormula && !result {
		t.grid.noValue(c, "="+raw.formula)
		return nil
	}
	switch {
	case raw.kind == "inlineStr":
		t.grid.putText(c, raw.inline)
	case raw.kind == "str":
		t.grid.putText(c, raw.value)
	case value == "":
		t.grid.put(c)
	case raw.kind == "s":
		i, err := strconv.Atoi(value)
		if err != nil || i < 0 || i >= len(t.book.texts) {
			return errors.New("a cell points at a text that is not there")
		}
		text := t.book.texts[i]
		if text.struck {
			c.Strike()
		}
		t.grid.putText(c, text.text)
	case raw.kind == "b":
		t.grid.putBool(c, value != "0" && value != "false")
	case raw.kind == "e":
		t.grid.putFault(c, value)
	case raw.kind == "d":
		t.grid.putDate(c, value, dateParts{year: true, month: true, day: true})
	default:
		v, err := strconv.ParseFloat(value, 64)
		if err != nil {
			t.grid.putText(c, raw.value)
			return nil
		}
		t.grid.putNumber(c, v, style.format, t.book.date1904)
	}
	return nil
}

func attr(e xml.StartElement, local string) string {
	for _, a := range e.Attr {
		if a.Name.Local == local {
			return a.Value
		}
	}
	return ""
}

func on(s string) bool { return s == "1" || s == "true" }
