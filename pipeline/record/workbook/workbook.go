// Package workbook writes workbooks (XLSX) cell by cell, up to the first error.
package workbook

import (
	"io"

	"github.com/xuri/excelize/v2"
)

// made is the day that every workbook states as its own, so that the same
// contents give the same bytes.
const made = "2000-01-01T00:00:00Z"

// Book is a workbook under way.
type Book struct {
	*excelize.File
	err error
}

// New begins a workbook with its tabs.
func New(tabs ...string) *Book {
	b := &Book{File: excelize.NewFile()}
	for i, name := range tabs {
		if i == 0 {
			b.Try(b.SetSheetName("Sheet1", name))
			continue
		}
		_, err := b.NewSheet(name)
		b.Try(err)
	}
	return b
}

// Try keeps an error, if it is the first.
func (b *Book) Try(err error) {
	if b.err == nil {
		b.err = err
	}
}

// Style adds a style and returns its number.
func (b *Book) Style(s excelize.Style) int {
	id, err := b.NewStyle(&s)
	b.Try(err)
	return id
}

// Put writes a cell, whose column and row count from 1, in a style; 0 is none.
func (b *Book) Put(tab string, column, row, style int, value any) {
	cell, err := excelize.CoordinatesToCellName(column, row)
	b.Try(err)
	if style > 0 {
		b.Try(b.SetCellStyle(tab, cell, cell, style))
	}
	b.Try(b.SetCellValue(tab, cell, value))
}

// Finish writes the workbook with its properties, opened at the first tab, or
// returns the first error.
func (b *Book) Finish(out io.Writer, title, language string) error {
	defer b.Close()
	b.Try(b.SetDocProps(&excelize.DocProperties{Created: made, Modified: made, Creator: "Spadefoot", LastModifiedBy: "Spadefoot", Title: title, Language: language}))
	b.SetActiveSheet(0)
	if b.err == nil {
		b.err = b.Write(out)
	}
	return b.err
}
