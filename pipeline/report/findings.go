package report

import (
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/gocarina/gocsv"

	"spadefoot/pipeline/record"
)

// findingRow is one line of findings.csv.
type findingRow struct {
	Level      string `csv:"level"`
	Rule       string `csv:"rule"`
	File       string `csv:"file"`
	Sheet      string `csv:"sheet"`
	Row        string `csv:"row"`
	Column     string `csv:"column"`
	Capture    string `csv:"capture"`
	Field      string `csv:"field"`
	Value      string `csv:"value"`
	Reason     string `csv:"reason"`
	Suggestion string `csv:"suggestion"`
	Group      string `csv:"group"`
	Figures    string `csv:"figures"`
	Also       string `csv:"also"`
	Reference  string `csv:"reference"`
}

// FindingsCSV writes one line per finding under one line of headings.
func FindingsCSV(w io.Writer, fs []record.Finding) error {
	rows := make([]findingRow, len(fs))
	for i, f := range fs {
		rows[i] = findingRow{
			Level: f.Level.String(), Rule: f.Rule, File: f.At.File, Sheet: f.At.Sheet,
			Row: number(f.At.Row), Column: letters(f.At.Column), Capture: f.Capture, Field: f.Field,
			Value: f.Value, Reason: f.Reason, Suggestion: f.Suggestion, Group: f.Group,
			Figures: figures(f.Figures), Also: addresses(f.Also), Reference: f.Reference,
		}
	}
	return gocsv.Marshal(rows, w)
}

// ReadFindingsCSV counts and reads back what FindingsCSV wrote: level and rule
// of each finding, in order.
func ReadFindingsCSV(r io.Reader) (levels, rules []string, err error) {
	var rows []findingRow
	if err := gocsv.Unmarshal(r, &rows); err != nil {
		return nil, nil, err
	}
	for _, row := range rows {
		levels, rules = append(levels, row.Level), append(rules, row.Rule)
	}
	return levels, rules, nil
}

func number(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

func letters(n int) string {
	if n == 0 {
		return ""
	}
	return record.ColumnLetters(n)
}

// figures writes the numbers behind a judgement: "n=41; centre=4.20".
func figures(fs []record.Figure) string {
	parts := make([]string, len(fs))
	for i, f := range fs {
		parts[i] = f.Name + "=" + strconv.FormatFloat(f.Value, 'g', 6, 64)
	}
	return strings.Join(parts, "; ")
}

func addresses(as []record.Address) string {
	parts := make([]string, len(as))
	for i, a := range as {
		parts[i] = a.String()
	}
	return strings.Join(parts, "; ")
}

// Counts is the number of findings at each level.
type Counts struct {
	Error   int `json:"error"`
	Warning int `json:"warning"`
	Note    int `json:"note"`
}

// Count counts findings by level.
func Count(fs []record.Finding) Counts {
	var c Counts
	for _, f := range fs {
		switch f.Level {
		case record.Error:
			c.Error++
		case record.Warning:
			c.Warning++
		default:
			c.Note++
		}
	}
	return c
}

// AtLeast is the number of findings at a level or above it.
func (c Counts) AtLeast(l record.Level) int {
	n := c.Error
	if l <= record.Warning {
		n += c.Warning
	}
	if l <= record.Note {
		n += c.Note
	}
	return n
}

// String is "3 errors, 12 warnings, 40 notes".
func (c Counts) String() string {
	return fmt.Sprintf("%s, %s, %s", plural(c.Error, "error"), plural(c.Warning, "warning"), plural(c.Note, "note"))
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return strconv.Itoa(n) + " " + word + "s"
}

// FindingsJSON writes the findings with their counts, as described by
// schemas/findings.schema.json.
func FindingsJSON(w io.Writer, fs []record.Finding) error {
	if fs == nil {
		fs = []record.Finding{}
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	return enc.Encode(struct {
		Counts   Counts           `json:"counts"`
		Findings []record.Finding `json:"findings"`
	}{Count(fs), fs})
}

// Short is the beginning of a reason, up to where it goes into the figures.
func Short(reason string) string {
	for _, end := range []string{": ", ". ", "; "} {
		if i := strings.Index(reason, end); i > 0 {
			reason = reason[:i]
		}
	}
	return reason
}
