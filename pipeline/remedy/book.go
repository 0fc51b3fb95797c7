package remedy

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
	"spadefoot/pipeline/record/workbook"
)

// The tabs of the workbook. The first is read back.
const (
	rowsTab = "Remedies"
	helpTab = "How to decide"
)

const (
	frozen    = 2  // columns that stay in view
	rowHeight = 78 // points
)

// bookColumn is one column of the workbook.
type bookColumn struct {
	heading string
	width   float64 // characters
	entered bool    // a person writes into it
	text    func(l *bookLine) string
}

// bookColumns are in the order in which a person decides: what the doubt is, what
// to do about it, and what else is known.
var bookColumns = []bookColumn{
	{"doubt", 60, false, func(l *bookLine) string { return l.Doubt }},
	{"found", 18, false, func(l *bookLine) string { return l.Found }},
	{"action", 11, true, func(l *bookLine) string { return l.Action }},
	{"replacement", 18, true, func(l *bookLine) string { return l.Replacement }},
	{"who", 14, true, func(l *bookLine) string { return l.Who }},
	{whenColumn, 12, true, func(l *bookLine) string { return l.When }},
	{"why", 28, true, func(l *bookLine) string { return l.Why }},
	{besideColumn, 40, false, func(l *bookLine) string { return l.Beside }},
	{earlierColumn, 50, false, func(l *bookLine) string { return l.Earlier }},
	{"capture", 14, false, func(l *bookLine) string { return l.Capture }},
	{"field", 18, false, func(l *bookLine) string { return l.Field }},
	{"file", 20, false, func(l *bookLine) string { return l.File }},
	{"sheet", 12, false, func(l *bookLine) string { return l.Sheet }},
	{"row", 7, false, func(l *bookLine) string { return l.Row }},
	{"column", 8, false, func(l *bookLine) string { return l.Column }},
	{"cells", 16, false, func(l *bookLine) string { return l.Cells }},
	{"rule", 22, false, func(l *bookLine) string { return l.Rule }},
}

const whenColumn = "when"

// WriteBook writes a table of remedies as a workbook (XLSX) that ReadSheet reads:
// with a list to choose the action from, days as days, and the row of the sheet
// and the animal's earlier captures beside each row. The same rows give the same
// bytes.
func WriteBook(out io.Writer, rs []Remedy) error {
	b := &book{Book: workbook.New(rowsTab, helpTab), rs: rs}
	b.styles()
	b.layOut()
	b.rows()
	b.choices()
	b.help()
	if err := b.Finish(out, "Remedies", ""); err != nil {
		return fmt.Errorf("workbook of remedies: %w", err)
	}
	return nil
}

// book is a workbook being written.
type book struct {
	*workbook.Book
	rs                             []Remedy
	heading, shown, entered, dated int
	prose, strong                  int
}

func (b *book) styles() {
	const text = 49 // the number format @: what is typed stays as typed
	day := "yyyy-mm-dd"
	top := &excelize.Alignment{WrapText: true, Vertical: "top"}
	line := []excelize.Border{{Type: "bottom", Color: "5B5F66", Style: 2}}
	edge := []excelize.Border{{Type: "left", Color: "A8A49A", Style: 1}, {Type: "right", Color: "A8A49A", Style: 1}, {Type: "bottom", Color: "A8A49A", Style: 1}}
	b.heading = b.Style(excelize.Style{NumFmt: text, Font: &excelize.Font{Bold: true, Size: 11}, Border: line, Alignment: top})
	b.shown = b.Style(excelize.Style{NumFmt: text, Font: &excelize.Font{Size: 10, Color: "40454D"}, Alignment: top})
	b.entered = b.Style(excelize.Style{NumFmt: text, Font: &excelize.Font{Size: 11}, Border: edge, Alignment: top})
	b.dated = b.Style(excelize.Style{CustomNumFmt: &day, Font: &excelize.Font{Size: 11}, Border: edge, Alignment: top})
	b.prose = b.Style(excelize.Style{Font: &excelize.Font{Size: 11}, Alignment: top})
	b.strong = b.Style(excelize.Style{Font: &excelize.Font{Size: 11, Bold: true}, Alignment: top})
}

// layOut makes the columns and their headings.
func (b *book) layOut() {
	for i, c := range bookColumns {
		letters := record.ColumnLetters(i + 1)
		b.Try(b.SetColWidth(rowsTab, letters, letters, c.width))
		b.Put(rowsTab, i+1, 1, b.heading, c.heading)
	}
	const pane, corner = "bottomRight", "C2" // below the headings, beside the doubt and what was found
	b.Try(b.SetPanes(rowsTab, &excelize.Panes{Freeze: true, XSplit: frozen, YSplit: 1, TopLeftCell: corner, ActivePane: pane,
		Selection: []excelize.Selection{{SQRef: corner, ActiveCell: corner, Pane: pane}}}))
}

func (b *book) rows() {
	for i := range b.rs {
		l := bookLine{Line: lineOf(&b.rs[i]), Beside: lines.Defused(b.rs[i].Beside), Earlier: lines.Defused(b.rs[i].Earlier)}
		for k := range bookColumns {
			style, value := b.cell(&bookColumns[k], &l)
			b.Put(rowsTab, k+1, i+2, style, value)
		}
		b.Try(b.SetRowHeight(rowsTab, i+2, rowHeight))
	}
	all := fmt.Sprintf("A1:%s%d", record.ColumnLetters(len(bookColumns)), len(b.rs)+1)
	b.Try(b.AddIgnoredErrors(rowsTab, all, excelize.IgnoredErrorsNumberStoredAsText))
}

// cell returns what is in a cell, and how it looks.
func (b *book) cell(c *bookColumn, l *bookLine) (style int, value any) {
	text := short(c.text(l))
	switch {
	case c.heading == whenColumn:
		if day, err := time.Parse(time.DateOnly, text); err == nil {
			return b.dated, day
		}
		style = b.dated
	case c.entered:
		style = b.entered
	default:
		style = b.shown
	}
	if text == "" {
		return style, nil
	}
	return style, text
}

// choices adds the list of actions, and the check of days.
func (b *book) choices() {
	for i, c := range bookColumns {
		letters := record.ColumnLetters(i + 1)
		dv := excelize.NewDataValidation(true)
		dv.SetSqref(fmt.Sprintf("%s2:%s%d", letters, letters, len(b.rs)+2))
		switch c.heading {
		case "action":
			words := make([]string, len(Actions))
			for k, a := range Actions {
				words[k] = string(a)
			}
			b.Try(dv.SetDropList(words))
			dv.SetError(excelize.DataValidationErrorStyleStop, "Unknown action", "Choose "+strings.Join(words, ", ")+", or leave the cell blank.")
		case whenColumn:
			dv.Type, dv.Operator, dv.Formula1 = "date", "greaterThan", "1" // any day
			dv.SetError(excelize.DataValidationErrorStyleWarning, "Not a date", "Write the date of the decision, such as 2024-09-02.")
		default:
			continue
		}
		b.Try(b.AddDataValidation(rowsTab, dv))
	}
}

// explanations are the lines that explain the workbook.
var explanations = [][2]string{
	{"Each row", "is one doubt. Choose an action, and write who decides, when, and why. A row without an action does nothing."},
	{string(Replace), "The text under replacement replaces what was found. For several cells, write one text for all of them, or one for each, separated by | in cell order. Nothing between two | is a blank cell."},
	{string(Confirm), "What was found is right."},
	{string(Clear), "What was found is treated as blank."},
	{string(Drop), "The whole capture is left out because it was entered twice. The record of the run keeps the text of its row."},
	{"cells", "are other cells of the same sheet that the decision applies to: swapped columns, values that slipped a row, one word in many cells."},
	{"The sheets", "are never changed, and their text stays on record beside each decision."},
}

func (b *book) help() {
	for i, width := range []float64{16, 90} {
		letters := record.ColumnLetters(i + 1)
		b.Try(b.SetColWidth(helpTab, letters, letters, width))
	}
	for i, t := range explanations {
		b.Put(helpTab, 1, i+1, b.strong, t[0])
		b.Put(helpTab, 2, i+1, b.prose, t[1])
	}
}
