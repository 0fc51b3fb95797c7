package forms

import (
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline/record"
)

// sessions writes the tabs to type into: headings, formats, checks, print.
func (b *book) sessions() error {
	for _, tab := range b.w.Sessions {
		for i, c := range b.w.Columns {
			if err := b.column(tab, i+1, c); err != nil {
				return err
			}
		}
		if err := b.settle(tab); err != nil {
			return err
		}
	}
	return nil
}

func (b *book) column(tab string, n int, c BookColumn) error {
	letters := record.ColumnLetters(n)
	head, cells := b.heading, b.cells
	if c.Mass {
		head, cells = b.massHeading, b.mass
	}
	if err := b.f.SetColWidth(tab, letters, letters, c.Width); err != nil {
		return err
	}
	if err := b.f.SetColStyle(tab, letters, cells); err != nil {
		return err
	}
	if err := b.put(tab, n, 1, head, c.Heading); err != nil {
		return err
	}
	if c.Check == nil {
		return nil
	}
	return b.f.AddDataValidation(tab, c.Check.validation(fmt.Sprintf("%s2:%s%d", letters, letters, lastRow)))
}

// The most characters that spreadsheet programs show of a title and a text.
const (
	maxTitle  = 32
	maxText   = 225
	maxPrompt = 255
)

// escaped writes a formula as XML holds it; the library does so for its own
// kinds of formulas only.
var escaped = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")

func (k *Check) validation(cells string) *excelize.DataValidation {
	dv := excelize.NewDataValidation(true)
	dv.SetSqref(cells)
	if k.List != "" {
		dv.SetSqrefDropList(k.List)
	} else {
		dv.Type, dv.Formula1 = "custom", escaped.Replace(k.Formula)
	}
	dv.SetError(excelize.DataValidationErrorStyleWarning, short(k.Title, maxTitle), short(k.Warning, maxText))
	if k.Prompt != "" {
		dv.SetInput("", short(k.Prompt, maxPrompt))
	}
	return dv
}

// settle freezes the headings and sets up the printed page.
func (b *book) settle(tab string) error {
	corner, err := excelize.CoordinatesToCellName(b.w.Frozen+1, 2)
	if err != nil {
		return err
	}
	const pane = "bottomLeft" // typing begins in the first column
	if err := b.f.SetPanes(tab, &excelize.Panes{Freeze: true, XSplit: b.w.Frozen, YSplit: 1, TopLeftCell: corner, ActivePane: pane,
		Selection: []excelize.Selection{{SQRef: "A2", ActiveCell: "A2", Pane: pane}}}); err != nil {
		return err
	}
	if err := b.f.SetRowHeight(tab, 1, 32); err != nil {
		return err
	}
	if err := b.printed(tab, "landscape"); err != nil {
		return err
	}
	if err := b.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: tab,
		RefersTo: fmt.Sprintf("'%s'!$1:$1", tab)}); err != nil {
		return err
	}
	cells := fmt.Sprintf("A1:%s%d", record.ColumnLetters(len(b.w.Columns)), lastRow)
	return b.f.AddIgnoredErrors(tab, cells, excelize.IgnoredErrorsNumberStoredAsText)
}

// printed fits the tab to the width of a page.
func (b *book) printed(tab, way string) error {
	fit, across, down := true, 1, 0
	if err := b.f.SetSheetProps(tab, &excelize.SheetPropsOptions{FitToPage: &fit}); err != nil {
		return err
	}
	if err := b.f.SetPageLayout(tab, &excelize.PageLayoutOptions{Size: &b.w.Paper, Orientation: &way, FitToWidth: &across, FitToHeight: &down}); err != nil {
		return err
	}
	side, end := 0.4, 0.5
	if err := b.f.SetPageMargins(tab, &excelize.PageLayoutMarginsOptions{Left: &side, Right: &side, Top: &end, Bottom: &end}); err != nil {
		return err
	}
	return b.f.SetHeaderFooter(tab, &excelize.HeaderFooterOptions{OddFooter: "&L&A&R&P / &N"})
}

// keyWidths are the widths of the key's columns in characters.
var keyWidths = [...]float64{26, 34, 18, 62, 28}

// key writes the tab that explains the others.
func (b *book) key() error {
	for i, width := range keyWidths {
		letters := record.ColumnLetters(i + 1)
		if err := b.f.SetColWidth(KeyTab, letters, letters, width); err != nil {
			return err
		}
	}
	if err := b.put(KeyTab, 1, 1, b.title, b.w.Title); err != nil {
		return err
	}
	row := 3
	for _, block := range b.w.Key {
		if err := b.put(KeyTab, 1, row, b.title, block.Heading); err != nil {
			return err
		}
		row++
		var err error
		if row, err = b.block(block, row); err != nil {
			return err
		}
		row++
	}
	off := false
	if err := b.f.SetSheetView(KeyTab, 0, &excelize.ViewOptions{ShowGridLines: &off}); err != nil {
		return err
	}
	return b.printed(KeyTab, "landscape")
}

// block writes one part of the key and returns the row below it.
func (b *book) block(k Block, row int) (int, error) {
	for _, line := range k.Lines {
		if err := b.f.MergeCell(KeyTab, fmt.Sprintf("A%d", row), fmt.Sprintf("E%d", row)); err != nil {
			return row, err
		}
		if err := b.put(KeyTab, 1, row, b.prose, line); err != nil {
			return row, err
		}
		whole := 0.0
		for _, width := range keyWidths {
			whole += width
		}
		if err := b.high(row, lines(line, whole)); err != nil {
			return row, err
		}
		row++
	}
	for i, cells := range k.Table {
		style := b.prose
		if i == 0 {
			style = b.strong
		}
		most := 1
		for j, text := range cells {
			if err := b.put(KeyTab, j+1, row, style, text); err != nil {
				return row, err
			}
			most = max(most, lines(text, keyWidths[j]))
		}
		if err := b.high(row, most); err != nil {
			return row, err
		}
		row++
	}
	return row, nil
}

// high makes a row high enough for so many lines.
func (b *book) high(row, lines int) error {
	return b.f.SetRowHeight(KeyTab, row, min(float64(lines)*15+1, 400))
}

// lines is how many lines a text takes in a column so many digits wide: most
// letters are narrower than a digit.
func lines(text string, width float64) int {
	return 1 + int(float64(len([]rune(text)))/(1.15*width))
}
