package record

import "slices"

// Rectangle is a block of cells, edges included, counted from 1.
type Rectangle struct {
	Top    int `json:"top"`
	Left   int `json:"left"`
	Bottom int `json:"bottom"`
	Right  int `json:"right"`
}

// Label is a name and a value outside the rows of a table that belong to them:
// a title line, "Site: Beaver Pond", a section row.
type Label struct {
	Name string
	Cell Cell // the value, with its own place in the sheet
}

// Column is one column of a table and what it means.
type Column struct {
	Heading string   // the heading as one line, as written (heading rows joined by a blank)
	Parts   []string // the cells of the heading rows, top down
	Unit    string   // text of a unit row below the heading, as written
	Says    string   // explanation of the heading in a row below it or in its comment, as written
	Number  int      // column of the sheet (row of the sheet in a transposed table)
	Meaning Meaning
}

// Table is a rectangle found in a sheet. Every row has as many cells as there
// are columns. Cells keep their row and column in the sheet, so a transposed
// table and a carried-down value still point to the right cell.
type Table struct {
	File        string
	Sheet       string
	Index       int // from 1 within the sheet
	Rectangle   Rectangle
	HeadingRows []int
	Transposed  bool // animals are columns
	Columns     []Column
	Labels      []Label
	Rows        []TableRow
}

// TableRow is one data row of a table.
type TableRow struct {
	Number int // row of the sheet (column in a transposed table)
	Hidden bool
	Cells  []Cell  // one per column of the table
	Labels []Label // values of section rows above this row
}

// Address is the place of a cell. Row and Column count from 1; 0 means the
// whole sheet (Row 0) or the whole row (Column 0). Sheet is the tab of a
// workbook and empty for a text file.
func (t *Table) Address(c Cell) Address {
	return Address{File: t.File, Sheet: t.Sheet, Row: c.Row, Column: c.Column}
}

// CarryDown fills the blanks of column i, from 0, with the text above and
// returns their number. A blank above the first value stays blank. Changed rows
// get their own cells: the sheet's stay as they were read.
func (t *Table) CarryDown(i int) int {
	n := 0
	for r := 1; r < len(t.Rows); r++ {
		row, above := &t.Rows[r], &t.Rows[r-1].Cells[i]
		if row.Cells[i].Empty() && !above.Empty() {
			row.Cells = slices.Clone(row.Cells)
			row.Cells[i].Carry(*above)
			n++
		}
	}
	return n
}

// Role says what the cells of a column are used for.
type Role uint8

// The roles of a column.
const (
	Unmatched   Role = iota // no heading of the mapping matched: kept in dynamicProperties
	Term                    // a Darwin Core term
	Measurement             // a measured character
	WeighPart               // a part of a weighing
	SetAside                // left out on purpose
	NameColumn              // holds the name of a measurement (one row per measurement)
	ValueColumn             // holds the value that goes with a NameColumn
	UnitColumn              // holds the unit that goes with a NameColumn
)

// longNames are what a mapping calls the columns of a sheet with one row per
// measurement, from NameColumn on.
var longNames = []string{"name", "value", "unit"}

// LongName is the name of such a column in a mapping, "" for another.
func LongName(r Role) string {
	if r < NameColumn || r > UnitColumn {
		return ""
	}
	return longNames[r-NameColumn]
}

// LongColumn is the column of a name, Unmatched for none.
func LongColumn(name string) Role {
	if i := slices.Index(longNames, name); i >= 0 {
		return NameColumn + Role(i)
	}
	return Unmatched
}

// Parts of a weighing, as a mapping names them.
const (
	Gross = "gross" // animal and bag together
	Tare  = "tare"  // the empty bag
	Net   = "net"   // scale zeroed with the bag on, or subtracted by hand
	Bag   = "bag"   // label of the bag used, looked up in the table of bags
	Scale = "scale" // name of the scale used, looked up in the instruments
)

// The sides of an animal.
const (
	Left  = "left"
	Right = "right"
)

// Meaning is what a mapping says about a column.
type Meaning struct {
	Role        Role
	Term        string // Darwin Core term name, for Term
	Measurement string // name in the measurement vocabulary, for Measurement
	Part        string // Gross, Tare, Net, Bag or Scale, for WeighPart
	Unit        string // UCUM code for cells without their own unit
	Guessed     bool   // the unit is a guess; nobody wrote it
	Instrument  string // name of the instrument, for measurements and weighings
	Observer    string // who measured, if the column belongs to one person
	Side        string // Left or Right, if the column says which side was measured
	Replicate   int    // 1, 2, …; 0 if the measurement was taken once
	Reason      string // why the column was set aside
	Decimal     string // "." or "," if the mapping states it
	DateOrder   string // "dmy", "mdy" or "ymd" if the mapping states it
	Angle       string // degrees, minutes or seconds, if a coordinate has a column for each
	Compass     string // N, S, E, W or O for coordinates without a sign or letter
	Zone        string // UTM zone that its heading gives for coordinates
	CarryDown   bool   // a blank means the value above
	ZeroMissing bool   // a zero means not measured
	Vocabulary  map[string]string
}

// IsMass reports whether a column has masses, and not the names of bags or scales.
func (m *Meaning) IsMass() bool { return m.Role == WeighPart && m.Part != Bag && m.Part != Scale }

// IsMeasured reports whether a column has measurements or masses.
func (m *Meaning) IsMeasured() bool { return m.Role == Measurement || m.IsMass() }
