package weigh

import (
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// CheckLines reads the lines of one sheet for checks of scales. A check is of the day that its line
// says, else of the rows below it as a label is or, where none are, of those above.
type CheckLines struct {
	to      *Checks
	scales  []Instrument
	file    string
	sheet   string
	isDate  func(heading string) bool
	column  int    // that dates are in; 0 for none yet
	day     string // of the last row, or of the last label
	waiting []Check
	at      []record.Address
	text    []string
	table   *checksTable    // that is being read; nil if none
	known   map[string]bool // texts that may head its columns, or not
}

// checksTable is a table of checks on a sheet, in some columns.
type checksTable struct {
	from, to int
	columns  checkColumns
	day      string // of the last row
}

// NewCheckLines begins a sheet whose checks are added to some. isDate tells the
// headings of the day that rows are of; nil for none.
func NewCheckLines(to *Checks, scales []Instrument, file, sheet string, isDate func(heading string) bool) *CheckLines {
	if isDate == nil {
		isDate = func(string) bool { return false }
	}
	return &CheckLines{known: map[string]bool{}, to: to, scales: scales, file: file, sheet: sheet, isDate: isDate}
}

// maxInCheckLine is the number of cells from which a line is a row of a table.
const maxInCheckLine = 6

// Rows reads the rows that come next.
func (l *CheckLines) Rows(rows []record.Row) {
	for i := range rows {
		l.row(&rows[i])
	}
}

func (l *CheckLines) row(r *record.Row) {
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
	if filled <= maxInCheckLine && beginsCheck(r.Cells[first].Text) {
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
func (l *CheckLines) heads(cells []record.Cell) bool {
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
func (l *CheckLines) dated(day string) {
	if day == "" {
		return
	}
	l.settle(day)
	l.day = day
}

func (l *CheckLines) line(cells []record.Cell) {
	var parts []string
	for i := range cells {
		if !cells[i].Empty() {
			parts = append(parts, strings.TrimSpace(cells[i].Text))
		}
	}
	text := strings.Join(parts, " ")
	at := record.Address{File: l.file, Sheet: l.sheet, Row: cells[0].Row, Column: cells[0].Column}
	found, why := checksIn(text, l.scales)
	if why != "" {
		if strings.ContainsAny(text, ":0123456789") { // else a heading
			l.to.refuse(at, text, why)
		}
		return
	}
	l.take(at, text, found)
}

// take takes checks of which those without a day wait for it.
func (l *CheckLines) take(at record.Address, text string, found []Check) {
	for _, c := range found {
		if c.Date != "" {
			l.to.add(at, c)
			continue
		}
		l.waiting, l.at, l.text = append(l.waiting, c), append(l.at, at), append(l.text, text)
	}
}

// settle gives the checks that wait their day.
func (l *CheckLines) settle(day string) {
	for i, c := range l.waiting {
		if c.Date = day; day == "" {
			if i == 0 || l.at[i] != l.at[i-1] {
				l.to.refuse(l.at[i], l.text[i], "its date is missing")
			}
			continue
		}
		l.to.add(l.at[i], c)
	}
	l.waiting, l.at, l.text = nil, nil, nil
}

// End settles what waits for a day below it.
func (l *CheckLines) End() { l.settle(l.day) }

// maxKnownHeadings is how many texts are remembered that may head a column.
const maxKnownHeadings = 10_000

// headsTable begins a table of checks where cells side by side are its headings, and
// reports whether nothing else is in the row.
func (l *CheckLines) headsTable(cells []record.Cell) bool {
	for from := 0; from < len(cells); {
		to := from
		for to < len(cells) && !cells[to].Empty() {
			to++
		}
		if run := textsOf(cells[from:to]); len(run) > 1 && l.mayHead(run) {
			if columns, is := headsChecks(run); is {
				l.table = &checksTable{from: from, to: to, columns: columns}
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
func (l *CheckLines) mayHead(texts []string) bool {
	n := 0
	for _, text := range texts {
		is, there := l.known[text]
		if !there {
			is = headsColumn(text)
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

// inTable reads a row of the table of checks, and reports whether there is nothing
// else in it. A row that is blank there ends the table.
func (l *CheckLines) inTable(cells []record.Cell) bool {
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
func (l *CheckLines) readCheck(at record.Address, texts []string) {
	t, all := l.table, strings.Join(texts, " ")
	found, why := t.columns.Read(texts, l.scales)
	if why != "" {
		l.to.refuse(at, all, why)
		return
	}
	if d := t.columns.Date; d >= 0 && d < len(texts) && texts[d] != "" {
		if t.day = dayOf(texts[d]); t.day == "" && len(found) > 0 {
			l.to.refuse(at, all, "give the date of the check as YYYY-MM-DD")
			return
		}
	}
	for i := range found {
		found[i].Date = t.day
	}
	l.take(at, all, found)
}
