package record

import (
	"fmt"
	"strings"
)

// Address says where a cell stands. Row and Column count from 1; 0 means the
// address is of the whole sheet (Row 0) or the whole row (Column 0). Sheet is
// the tab of a workbook and empty for a text file.
type Address struct {
	File   string `json:"file"`
	Sheet  string `json:"sheet,omitempty"`
	Row    int    `json:"row,omitempty"`
	Column int    `json:"column,omitempty"`
}

// String writes the address for people: "frogs.xlsx, tab Spring, D12", or
// "frogs.csv, row 7" where no single column is meant.
func (a Address) String() string {
	var b strings.Builder
	b.WriteString(a.File)
	if a.Sheet != "" {
		b.WriteString(", tab ")
		b.WriteString(a.Sheet)
	}
	switch {
	case a.Row > 0 && a.Column > 0:
		fmt.Fprintf(&b, ", %s%d", ColumnLetters(a.Column), a.Row)
	case a.Row > 0:
		fmt.Fprintf(&b, ", row %d", a.Row)
	case a.Column > 0:
		fmt.Fprintf(&b, ", column %s", ColumnLetters(a.Column))
	}
	return b.String()
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
func ColumnLetters(n int) string {
	var s []byte
	for n > 0 {
		n--
		s = append([]byte{byte('A' + n%26)}, s...)
		n /= 26
	}
	return string(s)
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
	Text    string   // what the person wrote; only a remedy changes it
	Kind    CellKind // the stored type
	Row     int
	Column  int
	Comment string // a comment fastened to the cell in a workbook
	Fill    string // fill colour as RRGGBB, empty for none
	Formula bool   // Text is the cached value of a formula
	Carried bool   // taken from the cell above (a ditto mark or a blank that means "as above")

	Remedied bool   // Text is a person's later decision
	Written  string // what was written before; only where Remedied
}

// Verbatim is what was written in the sheet, whatever was decided later.
func (c Cell) Verbatim() string {
	if c.Remedied {
		return c.Written
	}
	return c.Text
}

// Empty reports whether the cell holds nothing but white space.
func (c Cell) Empty() bool { return strings.TrimSpace(c.Text) == "" }

// Carry takes the text of the cell above: a ditto mark, or a blank that means
// "as above". The cell keeps its own place.
func (c *Cell) Carry(above Cell) { c.Text, c.Kind, c.Carried = above.Text, above.Kind, true }

// Row is one row of a sheet. Cells are in column order with no gaps: a blank
// cell stands where nothing was written.
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
}
