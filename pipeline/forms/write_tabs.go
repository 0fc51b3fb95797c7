package forms

import (
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline/record"
)

// sessions writes the tabs to type into: headings, formats, checks, print.
func (b *book) sessions() {
	for _, tab := range b.w.Sessions {
		for i, c := range b.w.Columns {
			b.column(tab, i+1, c)
		}
		b.settle(tab)
	}
}

func (b *book) column(tab string, n int, c BookColumn) {
	letters := record.ColumnLetters(n)
	head, cells := b.heading, b.cells
	if c.Mass {
		head, cells = b.massHeading, b.mass
	}
	b.Try(b.SetColWidth(tab, letters, letters, c.Width))
	b.Try(b.SetColStyle(tab, letters, cells))
	b.Put(tab, n, 1, head, c.Heading)
	if c.Check != nil {
		b.Try(b.AddDataValidation(tab, c.Check.validation(fmt.Sprintf("%s2:%s%d", letters, letters, lastRow))))
	}
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
func (b *book) settle(tab string) {
	corner := record.ColumnLetters(b.w.Frozen+1) + "2"
	const pane = "bottomLeft" // typing begins in the first column
	b.Try(b.SetPanes(tab, &excelize.Panes{Freeze: true, XSplit: b.w.Frozen, YSplit: 1, TopLeftCell: corner, ActivePane: pane,
		Selection: []excelize.Selection{{SQRef: "A2", ActiveCell: "A2", Pane: pane}}}))
	b.Try(b.SetRowHeight(tab, 1, 32))
	b.printed(tab)
	b.Try(b.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: tab,
		RefersTo: fmt.Sprintf("'%s'!$1:$1", tab)}))
	cells := fmt.Sprintf("A1:%s%d", record.ColumnLetters(len(b.w.Columns)), lastRow)
	b.Try(b.AddIgnoredErrors(tab, cells, excelize.IgnoredErrorsNumberStoredAsText))
}

// printed fits the tab to the width of a page.
func (b *book) printed(tab string) {
	b.Try(b.SetSheetProps(tab, &excelize.SheetPropsOptions{FitToPage: new(true)}))
	b.Try(b.SetPageLayout(tab, &excelize.PageLayoutOptions{Size: &b.w.Paper, Orientation: new("landscape"), FitToWidth: new(1), FitToHeight: new(0)}))
	b.Try(b.SetPageMargins(tab, &excelize.PageLayoutMarginsOptions{Left: new(0.4), Right: new(0.4), Top: new(0.5), Bottom: new(0.5)}))
	b.Try(b.SetHeaderFooter(tab, &excelize.HeaderFooterOptions{OddFooter: "&L&A&R&P / &N"}))
}

// keyWidths are the widths of the key's columns in characters.
var keyWidths = [...]float64{26, 34, 18, 62, 28}

// key writes the tab that explains the others.
func (b *book) key() {
	for i, width := range keyWidths {
		letters := record.ColumnLetters(i + 1)
		b.Try(b.SetColWidth(KeyTab, letters, letters, width))
	}
	b.Put(KeyTab, 1, 1, b.title, b.w.Title)
	row := 3
	for _, block := range b.w.Key {
		b.Put(KeyTab, 1, row, b.title, block.Heading)
		row = b.block(block, row+1) + 1
	}
	b.Try(b.SetSheetView(KeyTab, 0, &excelize.ViewOptions{ShowGridLines: new(false)}))
	b.printed(KeyTab)
}

// block writes one part of the key and returns the row below it.
func (b *book) block(k Block, row int) int {
	for _, line := range k.Lines {
		b.Try(b.MergeCell(KeyTab, fmt.Sprintf("A%d", row), fmt.Sprintf("E%d", row)))
		b.Put(KeyTab, 1, row, b.prose, line)
		whole := 0.0
		for _, width := range keyWidths {
			whole += width
		}
		b.high(row, lines(line, whole))
		row++
	}
	for i, cells := range k.Table {
		style := b.prose
		if i == 0 {
			style = b.strong
		}
		most := 1
		for j, text := range cells {
			b.Put(KeyTab, j+1, row, style, text)
			most = max(most, lines(text, keyWidths[j]))
		}
		b.high(row, most)
		row++
	}
	return row
}

// high makes a row high enough for so many lines.
func (b *book) high(row, lines int) {
	b.Try(b.SetRowHeight(KeyTab, row, min(float64(lines)*15+1, 400)))
}

// lines is how many lines a text takes in a column so many digits wide: most
// letters are narrower than a digit.
func lines(text string, width float64) int {
	return 1 + int(float64(len([]rune(text)))/(1.15*width))
}
