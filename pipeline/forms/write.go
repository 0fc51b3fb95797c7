package forms

import (
	"bytes"
	"fmt"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline/record"
)

// made is the day that every workbook states as its own, so that the same form
// gives the same bytes.
const made = "2000-01-01T00:00:00Z"

const lastRow = 1048576 // of an OOXML sheet

// Bytes writes the workbook as XLSX.
func (w *Workbook) Bytes() ([]byte, error) {
	b := &book{w: w, f: excelize.NewFile()}
	defer b.f.Close()
	for _, step := range []func() error{b.styles, b.tabs, b.lists, b.limits, b.sessions, b.key, b.properties} {
		if err := step(); err != nil {
			return nil, fmt.Errorf("workbook of the form: %w", err)
		}
	}
	var out bytes.Buffer
	if err := b.f.Write(&out); err != nil {
		return nil, fmt.Errorf("workbook of the form: %w", err)
	}
	return out.Bytes(), nil
}

// book is a workbook being written.
type book struct {
	w                                 *Workbook
	f                                 *excelize.File
	heading, massHeading, cells, mass int
	title, strong, prose              int
}

const font = "Calibri" // what spreadsheet programs have or replace without moving columns

func (b *book) styles() error {
	line := []excelize.Border{{Type: "bottom", Color: "5B5F66", Style: 2}}
	edge := []excelize.Border{{Type: "left", Color: "A8A49A", Style: 1}, {Type: "right", Color: "A8A49A", Style: 1}}
	// no fills: a colour may carry a meaning, and a run would ask for it
	head := &excelize.Alignment{WrapText: true, Vertical: "bottom"}
	text := 49 // the number format @: what is typed stays as typed
	for _, s := range []struct {
		to    *int
		style excelize.Style
	}{
		{&b.heading, excelize.Style{NumFmt: text, Font: &excelize.Font{Bold: true, Size: 10, Family: font, Color: "20242B"}, Border: line, Alignment: head}},
		{&b.massHeading, excelize.Style{NumFmt: text, Font: &excelize.Font{Bold: true, Size: 10, Family: font, Color: "20242B"}, Border: append(line, edge...), Alignment: head}},
		{&b.cells, excelize.Style{NumFmt: text, Font: &excelize.Font{Size: 11, Family: font}}},
		{&b.mass, excelize.Style{NumFmt: text, Font: &excelize.Font{Size: 11, Family: font}, Border: edge}},
		{&b.title, excelize.Style{Font: &excelize.Font{Bold: true, Size: 15, Family: font, Color: "20242B"}}},
		{&b.strong, excelize.Style{Font: &excelize.Font{Bold: true, Size: 11, Family: font}, Border: []excelize.Border{{Type: "bottom", Color: "A8A49A", Style: 1}}, Alignment: &excelize.Alignment{Vertical: "top"}}},
		{&b.prose, excelize.Style{NumFmt: text, Font: &excelize.Font{Size: 11, Family: font}, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}},
	} {
		id, err := b.f.NewStyle(&s.style)
		if err != nil {
			return err
		}
		*s.to = id
	}
	return nil
}

func (b *book) tabs() error {
	if err := b.f.SetSheetName("Sheet1", b.w.Sessions[0]); err != nil {
		return err
	}
	for _, name := range append(append([]string(nil), b.w.Sessions[1:]...), KeyTab, ListsTab) {
		if _, err := b.f.NewSheet(name); err != nil {
			return err
		}
	}
	return b.f.SetSheetVisible(ListsTab, false)
}

// name gives a name to the cells of a column of the lists.
func (b *book) name(name string, column, rows int) error {
	letters := record.ColumnLetters(column)
	return b.f.SetDefinedName(&excelize.DefinedName{Name: name,
		RefersTo: fmt.Sprintf("%s!$%s$2:$%s$%d", ListsTab, letters, letters, rows+1)})
}

func (b *book) put(tab string, column, row, style int, value any) error {
	cell, err := excelize.CoordinatesToCellName(column, row)
	if err != nil {
		return err
	}
	if style > 0 {
		if err := b.f.SetCellStyle(tab, cell, cell, style); err != nil {
			return err
		}
	}
	return b.f.SetCellValue(tab, cell, value)
}

func (b *book) lists() error {
	for i, l := range b.w.Lists {
		if err := b.put(ListsTab, i+1, 1, b.strong, l.Heading); err != nil {
			return err
		}
		for j, w := range l.Words {
			if err := b.put(ListsTab, i+1, j+2, b.cells, w.Text); err != nil {
				return err
			}
		}
		if err := b.name(l.Name, i+1, len(l.Words)); err != nil {
			return err
		}
	}
	return nil
}

// limits writes the lines of the limits to the right of the lists.
func (b *book) limits() error {
	if len(b.w.Limits) == 0 {
		return nil
	}
	at := len(b.w.Lists) + 2
	for k, heading := range []string{"Column", "Taxon", "Life stage", "Sex", "Low", "High"} {
		if err := b.put(ListsTab, at+k, 1, b.strong, heading); err != nil {
			return err
		}
		if err := b.name(limitNames[k], at+k, len(b.w.Limits)); err != nil {
			return err
		}
	}
	for i, l := range b.w.Limits {
		for k, v := range []any{l.Column, orAny(l.Taxon), orAny(l.LifeStage), orAny(l.Sex), l.Minimum, l.Maximum} {
			if err := b.put(ListsTab, at+k, i+2, 0, v); err != nil {
				return err
			}
		}
	}
	return nil
}

func orAny(s string) string {
	if s == "" {
		return anyone
	}
	return s
}

func (b *book) properties() error {
	if err := b.f.SetDocProps(&excelize.DocProperties{Created: made, Modified: made, Creator: "Spadefoot",
		LastModifiedBy: "Spadefoot", Title: b.w.Title, Language: b.w.Language}); err != nil {
		return err
	}
	b.f.SetActiveSheet(0)
	return nil
}
