package record

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// Address is the place of a cell. Row and Column count from 1; 0 means the
// whole sheet (Row 0) or the whole row (Column 0). Sheet is the tab of a
// workbook and empty for a text file.
type Address struct {
	File   string `json:"file"`
	Sheet  string `json:"sheet,omitempty"`
	Row    int    `json:"row,omitempty"`
	Column int    `json:"column,omitempty"`
}

// String writes the address for people: "frogs.xlsx, tab Spring, D12", or
// "frogs.csv, row 7" where no single column is meant.
func (a Address) String() string { return string(a.AppendTo(nil)) }

// AppendTo appends what String writes.
func (a Address) AppendTo(b []byte) []byte {
	b = append(b, a.File...)
	if a.Sheet != "" {
		b = append(append(b, ", tab "...), a.Sheet...)
	}
	switch {
	case a.Row > 0 && a.Column > 0:
		b = AppendLetters(append(b, ", "...), a.Column)
		b = strconv.AppendInt(b, int64(a.Row), 10)
	case a.Row > 0:
		b = strconv.AppendInt(append(b, ", row "...), int64(a.Row), 10)
	case a.Column > 0:
		b = AppendLetters(append(b, ", column "...), a.Column)
	}
	return b
}

// inRow is the cell of a column in a row.
func (a Address) inRow(row int32) Address {
	a.Row = int(row)
	return a
}

// Before orders addresses by file, sheet, row and column.
func (a Address) Before(o Address) bool { return a.Compare(o) < 0 }

// Compare orders addresses by file, sheet, row and column.
func (a Address) Compare(o Address) int {
	if c := strings.Compare(a.File, o.File); c != 0 {
		return c
	}
	if c := strings.Compare(a.Sheet, o.Sheet); c != 0 {
		return c
	}
	if a.Row != o.Row {
		return a.Row - o.Row
	}
	return a.Column - o.Column
}

// ColumnLetters names column n (from 1) as spreadsheets do: 1 is A, 27 is AA.
func ColumnLetters(n int) string { return string(AppendLetters(nil, n)) }

// AppendLetters appends the letters of a column.
func AppendLetters(b []byte, n int) []byte {
	if n <= 0 {
		return b
	}
	return append(AppendLetters(b, (n-1)/26), 'A'+byte((n-1)%26))
}

// CellKind is the type that a workbook stored with a cell. Cells of text files
// are always Text or Blank.
type CellKind uint8

// The kinds of cell.
const (
	Blank  CellKind = iota // nothing was written
	Text                   // characters
	Number                 // a stored number
	Date                   // a stored date, time or both; Text is ISO 8601
	Bool                   // TRUE or FALSE
	Fault                  // a spreadsheet error such as #DIV/0!
)

// Cell is one cell as read. Row and Column count from 1 within its sheet.
type Cell struct {
	Text     string // what the person wrote; only a remedy changes it
	Row      int
	Column   int
	Beside   *Beside  // what only few cells have; nil for none. Copies of a cell share it, so replace it as a whole
	Kind     CellKind // the stored type
	Formula  bool     // Text is the cached value of a formula
	Carried  bool     // taken from the cell above (a ditto mark, or a blank that means the value above)
	Remedied bool     // Text is a person's later decision
	Below    int32    // rows below the cell that it was taken from
}

// Beside holds what only few cells have besides their text. Cells are most of
// the memory while a sheet is read, so it is kept separate.
type Beside struct {
	Comment string   // the cell's comment in a workbook
	Fill    string   // fill colour as RRGGBB
	Struck  bool     // the text is crossed out, or a part of it
	Written string   // the text before a remedy
	Was     CellKind // the stored type before a remedy
}

// Comment is the cell's comment in a workbook, or "".
func (c *Cell) Comment() string {
	if c.Beside == nil {
		return ""
	}
	return c.Beside.Comment
}

// Fill is the fill colour as RRGGBB, or "".
func (c *Cell) Fill() string {
	if c.Beside == nil {
		return ""
	}
	return c.Beside.Fill
}

// Struck reports whether the text is crossed out, or a part of it.
func (c *Cell) Struck() bool { return c.Beside != nil && c.Beside.Struck }

// Written is the text before a remedy, or "".
func (c *Cell) Written() string {
	if c.Beside == nil {
		return ""
	}
	return c.Beside.Written
}

// SetComment sets the cell's comment, or removes it.
func (c *Cell) SetComment(text string) { c.beside(func(b *Beside) { b.Comment = text }) }

// SetFill colours the cell.
func (c *Cell) SetFill(colour string) { c.beside(func(b *Beside) { b.Fill = colour }) }

// Strike notes that the text is crossed out, or a part of it.
func (c *Cell) Strike() { c.beside(func(b *Beside) { b.Struck = true }) }

// SetWritten keeps the text before a remedy, and its type.
func (c *Cell) SetWritten(text string) {
	c.beside(func(b *Beside) { b.Written, b.Was = text, c.Kind })
}

func (c *Cell) beside(change func(*Beside)) {
	var b Beside
	if c.Beside != nil {
		b = *c.Beside
	}
	change(&b)
	c.Beside = nil
	if b != (Beside{}) {
		c.Beside = &b
	}
}

// Verbatim is the text in the sheet, whatever was decided later.
func (c *Cell) Verbatim() string {
	if c.Remedied {
		return c.Written()
	}
	return c.Text
}

// Original returns the text in the sheet and its stored type, whatever was
// decided later. How to read a column is decided from this, so that a remedy on
// one cell does not change others.
func (c *Cell) Original() (text string, kind CellKind) {
	if c.Remedied && c.Beside != nil {
		return c.Beside.Written, c.Beside.Was
	}
	return c.Verbatim(), c.Kind
}

// Empty reports whether the cell holds nothing but white space.
func (c *Cell) Empty() bool {
	if t := c.Text; t != "" && ' ' < t[0] && t[0] < utf8.RuneSelf {
		return false // as of most cells
	}
	return strings.TrimSpace(c.Text) == ""
}

// Carry takes the text of the cell above: a ditto mark, or a blank that means
// the value above. The cell keeps its own place.
func (c *Cell) Carry(above Cell) {
	c.Text, c.Kind, c.Carried = above.Text, above.Kind, true
	c.Below = int32(c.Row-above.Row) + above.Below
}

// WrittenIn is the row in which somebody wrote the text.
func (c *Cell) WrittenIn() int {
	if c.Remedied {
		return c.Row
	}
	return c.Row - int(c.Below)
}

// Row is one row of a sheet. Cells are in column order without gaps: a blank
// cell is there if nothing was written.
type Row struct {
	Number int // from 1
	Hidden bool
	Cells  []Cell
}

// Sheet is one grid of cells: a text file, or one tab of a workbook.
type Sheet struct {
	File   string // path relative to the survey folder, with forward slashes
	Name   string // tab name; empty for a text file
	Hidden bool
	Rows   []Row
	Merges []Rectangle // merged cells; only the first of each holds a value
}

// Clone is the address with copies of its names, which keep no larger text in
// memory.
func (a Address) Clone() Address {
	a.File, a.Sheet = strings.Clone(a.File), strings.Clone(a.Sheet)
	return a
}

// OfRow is the address of the whole row.
func (a Address) OfRow() Address {
	a.Column = 0
	return a
}
