package remedy

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/gocarina/gocsv"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
	"spadefoot/schemas"
)

// FileName is the table that is read where survey.yaml names none.
const FileName = "remedies.csv"

// Line is one row of the table as written, by its headings.
type Line struct {
	File        string `csv:"file"`
	Sheet       string `csv:"sheet"`
	Row         string `csv:"row"`
	Column      string `csv:"column"`
	Cells       string `csv:"cells"`
	Capture     string `csv:"capture"`
	Field       string `csv:"field"`
	Found       string `csv:"found"`
	Action      string `csv:"action"`
	Replacement string `csv:"replacement"`
	Rule        string `csv:"rule"`
	Who         string `csv:"who"`
	When        string `csv:"when"`
	Why         string `csv:"why"`
	Doubt       string `csv:"doubt"`
}

// each changes every text of a row.
func (l *Line) each(change func(string) string) {
	for _, text := range []*string{&l.File, &l.Sheet, &l.Row, &l.Column, &l.Cells, &l.Capture, &l.Field, &l.Found, &l.Action, &l.Replacement,
		&l.Rule, &l.Who, &l.When, &l.Why, &l.Doubt} {
		*text = change(*text)
	}
}

// bookLine is one row of a workbook, which shows more than the table in CSV.
type bookLine struct {
	Line
	Beside  string `csv:"row of the sheet"`
	Earlier string `csv:"earlier captures"`
}

var columns = lines.Columns{
	Needed:  []string{"found", "action", "who", "when", "why"},
	Allowed: []string{"file", "sheet", "row", "column", "cells", "capture", "field", "replacement", "rule", "doubt", besideColumn, earlierColumn},
}

// What is beside the rows of a workbook for people to read.
const (
	besideColumn  = "row of the sheet"
	earlierColumn = "earlier captures"
)

// ReadSheet reads a table of remedies from a sheet: of a workbook, or of text in
// whatever encoding. Its headings are file, sheet, row, column, cells, capture,
// field, found, action, replacement, rule, who, when, why, in any order; a
// column doubt may be there too and is not read. Every mistake is reported, each a *lines.Error
// with its line and column, joined into one.
func ReadSheet(s *record.Sheet, name string) ([]Remedy, error) {
	var records [][]string
	var at []int
	for _, row := range s.Rows {
		var cells []string
		for i := range row.Cells {
			for len(cells) < row.Cells[i].Column {
				cells = append(cells, "")
			}
			cells[row.Cells[i].Column-1] = lines.Armed(strings.TrimSpace(lines.OneBreak(row.Cells[i].Text)))
		}
		if strings.Join(cells, "") == "" || len(records) == 0 && strings.HasPrefix(cells[0], "#") {
			continue
		}
		if len(records) > 0 {
			var err error
			if cells, err = lines.Fit(cells, len(records[0]), name, row.Number); err != nil {
				return nil, err
			}
		}
		records, at = append(records, cells), append(at, row.Number)
	}
	rows, err := lines.Of[bookLine](records, at, name, columns)
	if err != nil {
		return nil, err
	}
	return remedies(rows, name)
}

func remedies(rows []lines.Row[bookLine], name string) ([]Remedy, error) {
	var out []Remedy
	var wrong []error
	order := dayOrder(rows)
	for _, row := range rows {
		row.Cells.When = day(row.Cells.When, order)
		r, column, reason := row.Cells.remedy()
		if reason != "" {
			wrong = append(wrong, &lines.Error{File: name, Line: row.Line, Column: column, Reason: reason})
			continue
		}
		r.File, r.Line = name, row.Line
		r.Beside, r.Earlier = row.Cells.Beside, row.Cells.Earlier
		out = append(out, r)
	}
	if len(wrong) > 0 {
		return nil, errors.Join(wrong...)
	}
	return out, nil
}

// remedy reads one row, or says which column is wrong and why.
func (l *Line) remedy() (r Remedy, column, reason string) {
	r = Remedy{At: record.Address{File: l.File, Sheet: l.Sheet}, Capture: l.Capture, Field: l.Field, Found: l.Found,
		Action: Action(strings.ToLower(l.Action)), Replacement: l.Replacement, Rule: l.Rule,
		Who: l.Who, When: l.When, Why: l.Why, Doubt: l.Doubt}
	var err error
	if l.Row != "" {
		var n int
		if n, err = strconv.Atoi(l.Row); err != nil || n < 1 {
			return r, "row", fmt.Sprintf("found %q; write the number of the row, from 1", l.Row)
		}
		r.At.Row = n
	}
	if l.Column != "" {
		if r.At.Column = columnNumber(l.Column); r.At.Column == 0 || r.At.Column > lastColumn {
			return r, "column", fmt.Sprintf("found %q; write the letters of the column, as in H", l.Column)
		}
	}
	if r.Also, err = cellsOf(l.Cells, r.At); err != nil {
		return r, "cells", err.Error()
	}
	column, reason = r.fault()
	return r, column, reason
}

// fault says which column of a decision is wrong and why. A remedy without an
// action is right.
func (r *Remedy) fault() (column, reason string) {
	if r.Action == Undecided {
		return "", ""
	}
	if column, reason = r.target(); reason != "" {
		return column, reason
	}
	return r.decision()
}

// columnNumber reads "H", "AA" or "8"; 0 for anything else.
func columnNumber(s string) int {
	if n, err := strconv.Atoi(s); err == nil {
		return max(n, 0)
	}
	n := 0
	for _, c := range strings.ToUpper(s) {
		if c < 'A' || c > 'Z' || n > 1<<20 {
			return 0
		}
		n = n*26 + int(c-'A') + 1
	}
	return n
}

// lastColumn is ZZZ, past the last column of any workbook.
const lastColumn = 26*26*26 + 26*26 + 26

// target checks that a cell is named.
func (r *Remedy) target() (column, reason string) {
	switch {
	case len(r.Also) > 0:
		switch {
		case r.At.File == "" || r.At.Row == 0 || r.At.Column == 0:
			return "cells", "needs file, row and column of the first cell"
		case r.Capture != "" || r.Field != "":
			return "cells", "cannot be used with a capture or a field; a decision on several cells names them by file, row and column"
		}
	case r.Capture != "":
		if r.Field == "" && r.At.Column == 0 && r.Action != Drop && r.Action != Confirm {
			return "field", "is empty; a capture needs a field (or a column) beside it"
		}
	case r.At.File == "":
		return "file", "is empty, and so is capture; name the cell by file, row and column, or by capture and field"
	case r.Action == Confirm:
	case r.At.Row == 0:
		return "row", "is empty, and so is capture; name the cell by file, row and column, or by capture and field"
	case r.At.Column == 0 && r.Action != Drop:
		return "column", "is empty; write the letters of the column"
	}
	return "", ""
}

// decision checks what is to be done and who answers for it.
func (r *Remedy) decision() (column, reason string) {
	if column, reason = r.lists(); reason != "" {
		return column, reason
	}
	switch r.Action {
	case Drop:
		if r.Found == "" && r.Capture == "" {
			return "found", "is empty, and so is capture; write the key of the capture, or the text of the cell or of the row"
		}
	case Replace:
		switch {
		case r.Replacement == "":
			return "replacement", "is empty; write the new text of the cell, or use clear"
		case r.Replacement == r.Found:
			return "replacement", "is the same as found; use confirm if the text is right"
		}
	case Confirm:
		switch {
		case r.Rule == "":
			return "rule", "is empty; write the code of the finding that is confirmed"
		case schemas.RuleOf()[r.Rule].Code == "":
			return "rule", fmt.Sprintf("found %q, which is not a rule; findings.csv has the codes", r.Rule)
		}
	case Clear:
		if r.Found == "" {
			return "found", "is empty; there is nothing to clear"
		}
	default:
		return "action", fmt.Sprintf("found %q; allowed: replace, confirm, clear, drop, or nothing for an undecided row", r.Action)
	}
	if r.Replacement != "" && r.Action == Clear {
		return "replacement", "cannot be used with clear; use replace, or empty the cell"
	}
	if r.Who == "" {
		return "who", "is empty; write who decided this"
	}
	if _, err := time.Parse(time.DateOnly, r.When); err != nil {
		return "when", fmt.Sprintf("found %q; write the day of the decision as year-month-day, such as 2024-09-02", r.When)
	}
	if r.Why == "" {
		return "why", "is empty; write the reason for the decision"
	}
	return "", ""
}

// lists checks the texts of a decision on several cells.
func (r *Remedy) lists() (column, reason string) {
	n := 1 + len(r.Also)
	if n == 1 {
		return "", ""
	}
	for _, l := range []struct{ column, text string }{{"found", r.Found}, {"replacement", r.Replacement}} {
		if texts, ok := Listed(l.text, n); !ok {
			return l.column, fmt.Sprintf("has %d texts for %d cells; write one for all, or one for each, separated by |", len(texts), n)
		}
	}
	return "", ""
}

// Check says what is wrong with a decision that was not read from a table, with
// the heading of its column, as ReadSheet would. A remedy without an action is right.
func (r *Remedy) Check() error {
	column, reason := r.fault()
	if reason == "" {
		return nil
	}
	return &lines.Error{File: r.File, Line: r.Line, Column: column, Reason: reason}
}

// Write writes a table of remedies that ReadSheet reads, with no cell that a
// spreadsheet would take for a formula.
func Write(out io.Writer, rs []Remedy) error {
	rows := make([]Line, len(rs))
	for i := range rs {
		rows[i] = lineOf(&rs[i])
	}
	return gocsv.Marshal(rows, out)
}

func lineOf(r *Remedy) Line {
	l := Line{File: r.At.File, Sheet: r.At.Sheet, Column: record.ColumnLetters(r.At.Column), Cells: cellsText(r.Also),
		Capture: r.Capture, Field: r.Field, Found: r.Found, Action: string(r.Action), Replacement: r.Replacement,
		Rule: r.Rule, Who: r.Who, When: r.When, Why: r.Why, Doubt: r.Doubt}
	if r.At.Row > 0 {
		l.Row = strconv.Itoa(r.At.Row)
	}
	l.each(lines.Defused)
	return l
}
