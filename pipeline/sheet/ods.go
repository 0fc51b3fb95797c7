package sheet

import (
	"cmp"
	"encoding/xml"
	"fmt"
	"io"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// Namespaces of OpenDocument (ODF 1.3 Part 3, 2.2.2).
const (
	nsOffice = "urn:oasis:names:tc:opendocument:xmlns:office:1.0"
	nsTable  = "urn:oasis:names:tc:opendocument:xmlns:table:1.0"
	nsText   = "urn:oasis:names:tc:opendocument:xmlns:text:1.0"
	nsStyle  = "urn:oasis:names:tc:opendocument:xmlns:style:1.0"
	nsNumber = "urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0"
	nsFo     = "urn:oasis:names:tc:opendocument:xmlns:xsl-fo-compatible:1.0"
	nsDraw   = "urn:oasis:names:tc:opendocument:xmlns:drawing:1.0"
)

// Limits on what repeated cells and rows may come to.
const (
	maxColumns = 16_384
	maxRows    = 1_048_576
)

// readODS reads the tabs of an ODS workbook (ODF 1.3 Part 3, 9).
func readODS(name string, f io.ReaderAt, size int64, o Options) ([]record.Sheet, []record.Finding, error) {
	z, err := openZip(name, f, size, limitsOf(o.Budgets))
	if err != nil {
		return nil, nil, err
	}
	if encryptedODS(z) {
		return nil, nil, &Error{File: name, Cause: "the workbook is protected by a password", Advice: adviceOpen}
	}
	styles := newODSStyles()
	if err := walkPart(z, "styles.xml", styles.read); err != nil {
		return nil, nil, &Error{File: name, Cause: "the styles of the workbook are damaged", Advice: adviceCopy, Err: err}
	}
	b := &odsReader{file: name, styles: styles, spent: newSpent(o.Budgets)}
	if err := walkPart(z, "content.xml", b.read); err != nil {
		if e, ok := err.(*Error); ok {
			return nil, nil, e
		}
		e := &Error{File: name, Cause: "the workbook is damaged", Advice: adviceCopy, Err: err}
		if b.grid != nil {
			e.Sheet, e.Row = b.grid.name, b.row
		}
		return nil, nil, e
	}
	var tabs []string
	for _, g := range b.grids {
		tabs = append(tabs, g.name)
	}
	wanted, err := pick(name, tabs, o.Tabs)
	if err != nil {
		return nil, nil, err
	}
	var sheets []record.Sheet
	var found []record.Finding
	for i, g := range b.grids {
		if !wanted[i] {
			continue
		}
		s, fs, err := g.sheet()
		if err != nil {
			return nil, nil, err
		}
		sheets, found = append(sheets, s), append(found, fs...)
	}
	return sheets, found, nil
}

// walkPart hands each token of an XML entry to visit.
func walkPart(z *packed, name string, visit func(*xml.Decoder) error) error {
	e := z.part(name)
	if e == nil {
		if name == "content.xml" {
			return fmt.Errorf("its part %s is missing", name)
		}
		return nil
	}
	r, err := z.open(e)
	if err != nil {
		return err
	}
	defer r.Close()
	d := xml.NewDecoder(r)
	d.CharsetReader = charsetReader
	return visit(d)
}

// encryptedODS looks into the list of parts, which says how each is encrypted.
func encryptedODS(z *packed) bool {
	e := z.part("META-INF/manifest.xml")
	if e == nil {
		return false
	}
	r, err := z.open(e)
	if err != nil {
		return false
	}
	defer r.Close()
	b, _ := io.ReadAll(io.LimitReader(r, 1<<20))
	return strings.Contains(string(b), "encryption-data")
}

// odsReader reads content.xml as a stream. Each tab becomes a grid.
type odsReader struct {
	file   string
	styles *odsStyles
	spent  *spent
	grids  []*grid
	grid   *grid // of the tab being read
	row    int   // last row that was read
	column int
	hidden bool      // the row being read
	repeat int       // how many times the row being read is repeated
	rowBuf []odsCell // its cells
	cols   []odsColumns
}

// odsColumns is a run of columns with one default style.
type odsColumns struct {
	upTo  int // last column
	style string
}

func (b *odsReader) read(d *xml.Decoder) error {
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		switch e := tok.(type) {
		case xml.StartElement:
			err = b.start(d, e)
		case xml.EndElement:
			if b.grid != nil && e.Name.Space == nsTable {
				b.end(e.Name.Local)
				err = b.spent.err()
			}
		}
		if err != nil {
			return err
		}
	}
}

func (b *odsReader) start(d *xml.Decoder, e xml.StartElement) error {
	if e.Name.Space == nsOffice && (e.Name.Local == "automatic-styles" || e.Name.Local == "styles") {
		return b.styles.inside(d)
	}
	if e.Name.Space == nsDraw || e.Name.Space == nsOffice && e.Name.Local == "forms" {
		return d.Skip()
	}
	if e.Name.Space != nsTable {
		return nil
	}
	switch e.Name.Local {
	case "table":
		if b.grid != nil {
			return d.Skip() // a table within a cell
		}
		b.grid = newGrid(b.file, attr(e, "name"), b.spent)
		b.grid.hidden = b.styles.hidden[attr(e, "style-name")]
		b.row, b.cols = 0, nil
	case "tracked-changes", "shapes", "dde-links", "named-expressions", "content-validations", "database-ranges", "data-pilot-tables":
		return d.Skip() // hold cells of their own that are not part of the tab
	case "table-column":
		b.columns(e)
	case "table-row":
		if b.grid == nil {
			return nil
		}
		b.column, b.rowBuf = 0, b.rowBuf[:0]
		b.repeat = repeats(e, "number-rows-repeated", maxRows)
		v := attr(e, "visibility")
		b.hidden = v == "collapse" || v == "filter"
	case "table-cell", "covered-table-cell":
		if b.grid != nil {
			return b.cell(d, e)
		}
	}
	return nil
}

func (b *odsReader) end(local string) {
	switch local {
	case "table":
		b.grids = append(b.grids, b.grid)
		b.grid = nil
	case "table-row":
		b.endRow()
	}
}

// endRow puts the row as often as it is there. Rows that hold nothing only
// count.
func (b *odsReader) endRow() {
	for i := 0; i < b.repeat && len(b.rowBuf) > 0 && b.spent.over == nil; i++ {
		row := b.row + i + 1
		for _, c := range b.rowBuf {
			for k := 0; k < c.repeat && b.spent.over == nil; k++ {
				if i+k == 0 || c.shown == "" && c.kind == "" || b.spent.repeat(b.grid.at(row, c.column+k), 1) {
					b.put(c, row, c.column+k)
				}
			}
		}
		if b.hidden {
			b.grid.hiddenRows[row] = true
		}
	}
	b.row += b.repeat
}

// columns remembers hidden columns and the default styles of columns.
func (b *odsReader) columns(e xml.StartElement) {
	if b.grid == nil {
		return
	}
	from := 0
	if len(b.cols) > 0 {
		from = b.cols[len(b.cols)-1].upTo
	}
	if from >= maxColumns {
		return
	}
	to := from + repeats(e, "number-columns-repeated", maxColumns)
	b.cols = append(b.cols, odsColumns{upTo: to, style: attr(e, "default-cell-style-name")})
	if v := attr(e, "visibility"); v == "collapse" || v == "filter" {
		for c := from + 1; c <= min(to, maxColumns); c++ {
			b.grid.hiddenCols[c] = true
		}
	}
}

// columnStyle returns the default style of a column.
func (b *odsReader) columnStyle(column int) string {
	i, _ := slices.BinarySearchFunc(b.cols, column, func(c odsColumns, column int) int { return cmp.Compare(c.upTo, column) })
	if i == len(b.cols) {
		return ""
	}
	return b.cols[i].style
}
