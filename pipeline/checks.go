package pipeline

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/weigh"
)

// checks are what scales read with check weights on them, with the cells that say
// so, and what of them was not understood.
type checks struct {
	all    []weigh.Check
	at     []record.Address
	unread []record.Finding
}

func (k *checks) add(at record.Address, checks ...weigh.Check) {
	for _, c := range checks {
		k.all, k.at = append(k.all, c), append(k.at, at)
	}
}

// refuse notes a cell that was not understood.
func (k *checks) refuse(at record.Address, text, why string) {
	k.unread = append(k.unread, record.Finding{Rule: weigh.RuleCheckUnread, Level: record.Note, At: at, Value: text,
		Reason: fmt.Sprintf("“%s” is about a check of a scale and was not understood: %s; nothing was taken from it", text, why)})
}

// checkLine is one line of the table of checks.
type checkLine struct {
	Scale   string `csv:"scale"`
	Date    string `csv:"date"` // ISO 8601 day
	Load    string `csv:"load"`
	Reading string `csv:"reading"`
	Unit    string `csv:"unit"`
}

// readChecks reads the table of checks that survey.yaml names. A line that is not
// understood is a note at its cell.
func (w *walk) readChecks(r io.Reader, name string) error {
	rows, err := lines.Read[checkLine](r, name, lines.Columns{Needed: []string{"date", "load", "reading"}, Allowed: []string{"scale", "unit"}})
	if err != nil {
		return err
	}
	k := &w.tables.checks
	for _, row := range rows {
		l := row.Cells
		at := record.Address{File: name, Row: row.Line}
		day := dayOf(l.Date)
		if day == "" {
			k.refuse(at, l.Date, "give the day of the check as YYYY-MM-DD")
			continue
		}
		found, why := weigh.ReadCheck(fmt.Sprintf("%s: %s %s = %s %s", l.Scale, l.Load, l.Unit, l.Reading, l.Unit), w.instruments())
		if why != "" || len(found) != 1 {
			k.refuse(at, strings.Join([]string{l.Scale, l.Load, l.Reading, l.Unit}, " "), why)
			continue
		}
		found[0].Date = day
		k.add(at, found...)
	}
	return nil
}

func (w *walk) instruments() (out []weigh.Instrument) {
	for _, in := range w.survey.Instruments {
		out = append(out, weigh.Instrument(in))
	}
	return out
}

// dayOf is a written day as YYYY-MM-DD, "" where it is none or could be another.
func dayOf(text string) string {
	if d := calendar.Parse(text, calendar.Options{}); d.Precision == calendar.ToDay && len(d.Problems) == 0 && len(d.ISO) == len("2006-01-02") {
		return d.ISO
	}
	return ""
}

// checkSheets looks through the sheets for lines on checks of scales, before any
// row is weighed. Of a survey whose instruments weigh nothing, no line is read.
func (w *walk) checkSheets() error {
	if !weighs(w.instruments()) {
		return nil
	}
	for _, ref := range w.survey.Sheets {
		if err := w.checkFile(ref); err != nil {
			return err
		}
	}
	return nil
}

// checkReadable looks through the sheets that can be read; what reads the others
// says so.
func (w *walk) checkReadable() {
	if !weighs(w.instruments()) {
		return
	}
	for _, ref := range w.survey.Sheets {
		_ = w.checkFile(ref)
	}
}

func weighs(instruments []weigh.Instrument) bool {
	for _, in := range instruments {
		if _, mass := quantity.Factor(in.Unit, "g"); mass {
			return true
		}
	}
	return false
}

// checkFile reads one file: a text as it flows, a workbook tab by tab.
func (w *walk) checkFile(ref survey.SheetRef) error {
	path := w.inputs.Path(ref.File)
	text, err := sheet.IsText(ref.File, path)
	if err != nil {
		return &InputError{File: ref.File, Err: err}
	}
	if !text {
		sheets, _, err := sheet.Read(ref.File, path, sheetOptions(w.survey, ref))
		if err != nil {
			return &InputError{File: ref.File, Err: err}
		}
		for i := range sheets {
			l := w.newCheckLines(ref, sheets[i].Name)
			l.rows(sheets[i].Rows)
			l.end()
		}
		return nil
	}
	flow, _, err := sheet.Open(ref.File, path, sheetOptions(w.survey, ref))
	if err != nil {
		return &InputError{File: ref.File, Err: err}
	}
	defer flow.Close()
	l := w.newCheckLines(ref, "")
	for {
		rows, err := flow.Next(chunkRows)
		l.rows(rows)
		if errors.Is(err, io.EOF) {
			l.end()
			return nil
		}
		if err != nil {
			return &InputError{File: ref.File, Err: err}
		}
	}
}

// checkLines reads the lines of one sheet. A check is of the day that its line
// says, else of the rows below it as a label is or, where none are, of those above.
type checkLines struct {
	to      *checks
	scales  []weigh.Instrument
	file    string
	sheet   string
	isDate  func(heading string) bool
	column  int    // that dates stand in; 0 for none yet
	day     string // of the last row, or of the last label
	waiting []weigh.Check
	at      []record.Address
	text    []string
	table   *checkTable     // that is being read; nil if none
	known   map[string]bool // texts that may head its columns, or not
}

// checkTable is a table of checks on a sheet, in some columns.
type checkTable struct {
	from, to int
	columns  weigh.CheckColumns
	day      string // of the last row
}

func (w *walk) newCheckLines(ref survey.SheetRef, tab string) *checkLines {
	l := &checkLines{known: map[string]bool{}, to: &w.onSheets, scales: w.instruments(), file: ref.File, sheet: tab, isDate: func(string) bool { return false }}
	if ref.Map != nil {
		l.isDate = ref.Map.Meaning(known.Words(), "eventDate")
	}
	return l
}

// maxInCheckLine is the number of cells from which a line is a row of a table.
const maxInCheckLine = 6

func (l *checkLines) rows(rows []record.Row) {
	for i := range rows {
		l.row(&rows[i])
	}
}

func (l *checkLines) row(r *record.Row) {
	first, filled := -1, 0
	for i := range r.Cells {
		if !r.Cells[i].Empty() {
			if filled++; first < 0 {
				first = i
			}
		}
	}
	if l.inTable(r.Cells) || first < 0 || l.headsTable(r.Cells) {
		return
	}
	if filled <= maxInCheckLine && weigh.BeginsCheck(r.Cells[first].Text) {
		l.line(r.Cells[first:])
		return
	}
	for i := first; i < len(r.Cells); i++ {
		if c := &r.Cells[i]; !c.Empty() && (c.Column == l.column || l.heads(r.Cells[i:])) {
			if c.Column == l.column {
				l.dated(dayOf(c.Text))
			}
			return
		}
	}
}

// heads takes a cell that names a date: a label with its value in the cell or in the
// next, or the heading of a column.
func (l *checkLines) heads(cells []record.Cell) bool {
	name, value, labelled := strings.Cut(cells[0].Text, ":")
	if !l.isDate(name) {
		return false
	}
	if value = strings.TrimSpace(value); value == "" && len(cells) > 1 && dayOf(cells[1].Text) != "" {
		value = cells[1].Text
	}
	if value == "" && !labelled {
		l.column = cells[0].Column
		return true
	}
	l.settle(l.day)
	l.day = dayOf(value)
	return true
}

// dated takes the day of a row, which the lines above it are of.
func (l *checkLines) dated(day string) {
	if day == "" {
		return
	}
	l.settle(day)
	l.day = day
}

func (l *checkLines) line(cells []record.Cell) {
	var parts []string
	for i := range cells {
		if !cells[i].Empty() {
			parts = append(parts, strings.TrimSpace(cells[i].Text))
		}
	}
	text := strings.Join(parts, " ")
	at := record.Address{File: l.file, Sheet: l.sheet, Row: cells[0].Row, Column: cells[0].Column}
	found, why := weigh.ReadCheck(text, l.scales)
	if why != "" {
		if strings.ContainsAny(text, ":0123456789") { // else a heading
			l.to.refuse(at, text, why)
		}
		return
	}
	l.take(at, text, found)
}

// take takes checks of which those without a day wait for it.
func (l *checkLines) take(at record.Address, text string, found []weigh.Check) {
	for _, c := range found {
		if c.Date != "" {
			l.to.add(at, c)
			continue
		}
		l.waiting, l.at, l.text = append(l.waiting, c), append(l.at, at), append(l.text, text)
	}
}

// settle gives the checks that wait their day.
func (l *checkLines) settle(day string) {
	for i, c := range l.waiting {
		if c.Date = day; day == "" {
			if i == 0 || l.at[i] != l.at[i-1] {
				l.to.refuse(l.at[i], l.text[i], "the day of it is not said")
			}
			continue
		}
		l.to.add(l.at[i], c)
	}
	l.waiting, l.at, l.text = nil, nil, nil
}

func (l *checkLines) end() { l.settle(l.day) }

// maxKnownHeadings is how many texts are remembered that may head a column.
const maxKnownHeadings = 10_000

// headsTable begins a table of checks where cells side by side are its headings, and
// reports whether nothing else stands in the row.
func (l *checkLines) headsTable(cells []record.Cell) bool {
	for from := 0; from < len(cells); {
		to := from
		for to < len(cells) && !cells[to].Empty() {
			to++
		}
		if run := textsOf(cells[from:to]); len(run) > 1 && l.mayHead(run) {
			if columns, is := weigh.HeadsChecks(run); is {
				l.table = &checkTable{from: from, to: to, columns: columns}
				return !slices.ContainsFunc(cells[:from], filled) && !slices.ContainsFunc(cells[to:], filled)
			}
		}
		from = to + 1
	}
	return false
}

func filled(c record.Cell) bool { return !c.Empty() }

func textsOf(cells []record.Cell) []string {
	out := make([]string, len(cells))
	for i := range cells {
		out[i] = strings.TrimSpace(cells[i].Text)
	}
	return out
}

// mayHead reports whether two of the texts at least head columns of checks.
func (l *checkLines) mayHead(texts []string) bool {
	n := 0
	for _, text := range texts {
		is, there := l.known[text]
		if !there {
			is = weigh.HeadsColumn(text)
			if len(l.known) < maxKnownHeadings {
				l.known[strings.Clone(text)] = is
			}
		}
		if is {
			n++
		}
	}
	return n > 1
}

// inTable reads a row of the table of checks, and reports whether nothing else stands
// in it. A row that is blank there ends the table.
func (l *checkLines) inTable(cells []record.Cell) bool {
	t := l.table
	if t == nil {
		return false
	}
	from, to := min(t.from, len(cells)), min(t.to, len(cells))
	own := cells[from:to]
	first := slices.IndexFunc(own, filled)
	if first < 0 {
		l.table = nil
		return false
	}
	texts := textsOf(own)
	at := record.Address{File: l.file, Sheet: l.sheet, Row: own[first].Row, Column: own[first].Column}
	l.readCheck(at, texts)
	return !slices.ContainsFunc(cells[:from], filled) && !slices.ContainsFunc(cells[to:], filled)
}

// readCheck reads the checks of one row of the table. A blank day is that of the row
// above.
func (l *checkLines) readCheck(at record.Address, texts []string) {
	t, all := l.table, strings.Join(texts, " ")
	found, why := t.columns.Read(texts, l.scales)
	if why != "" {
		l.to.refuse(at, all, why)
		return
	}
	if d := t.columns.Date; d >= 0 && d < len(texts) && texts[d] != "" {
		if t.day = dayOf(texts[d]); t.day == "" && len(found) > 0 {
			l.to.refuse(at, all, "give the day of the check as YYYY-MM-DD")
			return
		}
	}
	for i := range found {
		found[i].Date = t.day
	}
	l.take(at, all, found)
}
