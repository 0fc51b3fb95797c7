package findings

import (
	"fmt"
	"io"
	"iter"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
)

// maxBytes is how much is gathered before it is handed on.
const maxBytes = 1 << 16

// CSV writes one line per finding under one line of headings.
func CSV(w io.Writer, fs []record.Finding) error {
	return EachCSV(w, slices.Values(fs))
}

// EachCSV writes findings as they come, one line each, under one line of
// headings. No cell is taken for a formula by a spreadsheet (lines.Defused).
func EachCSV(w io.Writer, fs iter.Seq[record.Finding]) error {
	b := []byte("level,rule,file,sheet,row,column,capture,field,value,reason,suggestion,group,figures,also,reference\n")
	var long []byte // figures and addresses, before it is known whether they need quotation marks
	for f := range fs {
		b = append(b, f.Level.String()...)
		for _, field := range [...]string{f.Rule, f.At.File, f.At.Sheet} {
			b = lines.AppendCell(append(b, ','), field)
		}
		if b = append(b, ','); f.At.Row != 0 {
			b = strconv.AppendInt(b, int64(f.At.Row), 10)
		}
		b = record.AppendLetters(append(b, ','), f.At.Column)
		for _, field := range [...]string{f.Capture, f.Field, f.Value, f.Reason, f.Suggestion, f.Group} {
			b = lines.AppendCell(append(b, ','), fitting(field))
		}
		long = appendFigures(long[:0], f.Figures)
		b = lines.AppendCell(append(b, ','), long)
		long = appendPlaces(long[:0], f.Also, f.Runs)
		b = lines.AppendCell(append(b, ','), long)
		b = append(lines.AppendCell(append(b, ','), f.Reference), '\n')
		if len(b) >= maxBytes {
			if _, err := w.Write(b); err != nil {
				return err
			}
			b = b[:0]
		}
	}
	_, err := w.Write(b)
	return err
}

// appendFigures writes the numbers behind a judgement: "n=41; centre=4.20".
func appendFigures(b []byte, fs []record.Figure) []byte {
	for i, f := range fs {
		if i > 0 {
			b = append(b, "; "...)
		}
		b = strconv.AppendFloat(append(append(b, f.Name...), '='), f.Value, 'g', 6, 64)
	}
	return b
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
	for i := range fs {
		c.Add(fs[i].Level)
	}
	return c
}

// Add counts one finding.
func (c *Counts) Add(l record.Level) {
	switch l {
	case record.Error:
		c.Error++
	case record.Warning:
		c.Warning++
	default:
		c.Note++
	}
}

// Plus adds two counts.
func (c Counts) Plus(o Counts) Counts {
	return Counts{c.Error + o.Error, c.Warning + o.Warning, c.Note + o.Note}
}

// CountByCapture counts findings by the capture that they name, and returns the
// counts of a capture. A capture without a key has none.
func CountByCapture(fs iter.Seq[record.Finding]) func(*record.Capture) Counts {
	by := map[string]Counts{}
	for f := range fs {
		n := by[f.Capture]
		n.Add(f.Level)
		by[f.Capture] = n
	}
	delete(by, "")
	return func(c *record.Capture) Counts { return by[c.Key] }
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
	return fmt.Sprintf("%s, %s, %s", record.Plural(c.Error, "error"), record.Plural(c.Warning, "warning"), record.Plural(c.Note, "note"))
}

// Short is the beginning of a reason, up to where it goes into the figures.
// What is quoted is never cut.
func Short(reason string) string {
	for _, end := range []string{": ", ". ", "; "} {
		for from := 0; ; {
			i := strings.Index(reason[from:], end)
			if i < 0 {
				break
			}
			if i += from; i > 0 && strings.Count(reason[:i], `"`)%2 == 0 {
				reason = reason[:i]
				break
			}
			from = i + len(end)
		}
	}
	return reason
}
