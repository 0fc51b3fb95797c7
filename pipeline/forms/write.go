package forms

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/workbook"
)

const lastRow = 1048576 // of an OOXML sheet

// Bytes writes the workbook as XLSX.
func (w *Workbook) Bytes() ([]byte, error) {
	b := &book{w: w, Book: workbook.New(append(slices.Clone(w.Sessions), KeyTab, ListsTab)...)}
	b.Try(b.SetSheetVisible(ListsTab, false))
	b.styles()
	b.lists()
	b.limits()
	b.sessions()
	b.key()
	var out bytes.Buffer
	if err := b.Finish(&out, w.Title, w.Language); err != nil {
		return nil, fmt.Errorf("workbook of the form: %w", err)
	}
	return out.Bytes(), nil
}

// book is a workbook being written.
type book struct {
	*workbook.Book
	w                                 *Workbook
	heading, massHeading, cells, mass int
	title, strong, prose              int
}

const font = "Calibri" // what spreadsheet programs have or replace without moving columns

func (b *book) styles() {
	line := []excelize.Border{{Type: "bottom", Color: "5B5F66", Style: 2}}
	edge := []excelize.Border{{Type: "left", Color: "A8A49A", Style: 1}, {Type: "right", Color: "A8A49A", Style: 1}}
	// no fills: a colour may carry a meaning, and a run would ask for it
	head := &excelize.Alignment{WrapText: true, Vertical: "bottom"}
	text := 49 // the number format @: what is typed stays as typed
	b.heading = b.Style(excelize.Style{NumFmt: text, Font: &excelize.Font{Bold: true, Size: 10, Family: font, Color: "20242B"}, Border: line, Alignment: head})
	b.massHeading = b.Style(excelize.Style{NumFmt: text, Font: &excelize.Font{Bold: true, Size: 10, Family: font, Color: "20242B"}, Border: append(line, edge...), Alignment: head})
	b.cells = b.Style(excelize.Style{NumFmt: text, Font: &excelize.Font{Size: 11, Family: font}})
	b.mass = b.Style(excelize.Style{NumFmt: text, Font: &excelize.Font{Size: 11, Family: font}, Border: edge})
	b.title = b.Style(excelize.Style{Font: &excelize.Font{Bold: true, Size: 15, Family: font, Color: "20242B"}})
	b.strong = b.Style(excelize.Style{Font: &excelize.Font{Bold: true, Size: 11, Family: font}, Border: []excelize.Border{{Type: "bottom", Color: "A8A49A", Style: 1}}, Alignment: &excelize.Alignment{Vertical: "top"}})
	b.prose = b.Style(excelize.Style{NumFmt: text, Font: &excelize.Font{Size: 11, Family: font}, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
}

// name gives a name to the cells of a column of the lists.
func (b *book) name(name string, column, rows int) {
	letters := record.ColumnLetters(column)
	b.Try(b.SetDefinedName(&excelize.DefinedName{Name: name,
		RefersTo: fmt.Sprintf("%s!$%s$2:$%s$%d", ListsTab, letters, letters, rows+1)}))
}

func (b *book) lists() {
	for i, l := range b.w.Lists {
		b.Put(ListsTab, i+1, 1, b.strong, l.Heading)
		for j, w := range l.Words {
			b.Put(ListsTab, i+1, j+2, b.cells, w.Text)
		}
		b.name(l.Name, i+1, len(l.Words))
	}
}

// limits writes the lines of the limits to the right of the lists.
func (b *book) limits() {
	if len(b.w.Limits) == 0 {
		return
	}
	at := len(b.w.Lists) + 2
	for k, heading := range []string{"Column", "Taxon", "Life stage", "Sex", "Low", "High"} {
		b.Put(ListsTab, at+k, 1, b.strong, heading)
		b.name(limitNames[k], at+k, len(b.w.Limits))
	}
	for i, l := range b.w.Limits {
		for k, v := range []any{l.Column, cmp.Or(l.Taxon, anyone), cmp.Or(l.LifeStage, anyone), cmp.Or(l.Sex, anyone), l.Minimum, l.Maximum} {
			b.Put(ListsTab, at+k, i+2, 0, v)
		}
	}
}
