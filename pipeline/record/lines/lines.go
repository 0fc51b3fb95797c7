package lines

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/gocarina/gocsv"
)

// Row is one row of a table with the line of the file that it began in,
// counted from 1.
type Row[T any] struct {
	Line  int
	Cells T
}

// Error says what is wrong with a table, and where. Column is a heading, empty
// where the whole line is meant.
type Error struct {
	File   string
	Line   int
	Column string
	Reason string
}

func (e *Error) Error() string {
	where := fmt.Sprintf("%s, line %d", e.File, e.Line)
	if e.Column != "" {
		where += ", column " + e.Column
	}
	return where + ": " + e.Reason
}

// Columns are the headings of a table.
type Columns struct {
	Needed  []string
	Allowed []string // beside those that are needed
}

func (c Columns) has(heading string) bool {
	return slices.Contains(c.Needed, heading) || slices.Contains(c.Allowed, heading)
}

// Read reads a table into rows of T. White space at the ends of cells is
// dropped. The name is the file's, for errors, which are of type *Error unless
// in itself fails.
func Read[T any](in io.Reader, name string, columns Columns) ([]Row[T], error) {
	text, err := io.ReadAll(in)
	if err != nil {
		return nil, err
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	if at := invalid(text); at >= 0 {
		return nil, &Error{name, 1 + bytes.Count(text[:at], []byte("\n")), "", "is not UTF-8 text; save the table as CSV in UTF-8"}
	}
	records, at, err := split(text, name)
	if err != nil {
		return nil, err
	}
	return Of[T](records, at, name, columns)
}

// Of makes rows of T from records that were split elsewhere, the headings
// first, and the line of each.
func Of[T any](records [][]string, at []int, name string, columns Columns) ([]Row[T], error) {
	if len(records) == 0 {
		return nil, &Error{name, 1, "", "the table is empty; its first line names the columns: " + strings.Join(columns.Needed, ", ")}
	}
	if err := columns.check(records[0], at[0], name); err != nil {
		return nil, err
	}
	cells, err := Decode[T](records)
	if err != nil {
		return nil, &Error{name, at[0], "", err.Error()}
	}
	rows := make([]Row[T], len(cells))
	for i := range cells {
		rows[i] = Row[T]{at[i+1], cells[i]}
	}
	return rows, nil
}

// Decode makes a T of each record below the headings, by its csv tags.
func Decode[T any](records [][]string) (out []T, err error) {
	if err = gocsv.UnmarshalCSV(&reader{records}, &out); errors.Is(err, gocsv.ErrEmptyCSVFile) {
		err = nil
	}
	return out, err
}

// Headings begins a table whose columns its reader does not know beforehand:
// it returns the headings, and a reader that stands behind them. Lines that start
// with # are comments. The error is io.EOF for a table without any line.
func Headings(r io.Reader) (headings []string, rows *csv.Reader, err error) {
	rows = csv.NewReader(r)
	rows.Comment = '#'
	headings, err = rows.Read()
	for i, h := range headings {
		headings[i] = strings.TrimSpace(strings.TrimPrefix(h, "\ufeff"))
	}
	return headings, rows, err
}

// invalid is the place of the first byte that is not UTF-8, or -1.
func invalid(text []byte) int {
	for i := 0; i < len(text); {
		r, n := utf8.DecodeRune(text[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return -1
}

// split cuts the text into records of equal length, with the line of each.
func split(text []byte, name string) (records [][]string, at []int, err error) {
	r := csv.NewReader(bytes.NewReader(text))
	r.Comma, r.FieldsPerRecord = separator(text), -1
	r.Comment = '#'
	for {
		cells, err := r.Read()
		if err == io.EOF {
			return records, at, nil
		}
		if err != nil {
			line, said := Fault(err)
			return nil, nil, &Error{name, max(line, 1), "", said}
		}
		for i := range cells {
			cells[i] = strings.TrimSpace(OneBreak(cells[i]))
		}
		if strings.Join(cells, "") == "" {
			continue
		}
		line, _ := r.FieldPos(0)
		if len(records) > 0 {
			if cells, err = Fit(cells, len(records[0]), name, line); err != nil {
				return nil, nil, err
			}
			r.Comment = 0
		}
		records, at = append(records, cells), append(at, line)
	}
}

// Fit returns a row as many cells as there are headings. Blank cells at the end
// may be left out or be too many.
func Fit(cells []string, want int, name string, line int) ([]string, error) {
	for len(cells) > want && cells[len(cells)-1] == "" {
		cells = cells[:len(cells)-1]
	}
	if len(cells) > want {
		return nil, &Error{name, line, "", fmt.Sprintf("has %d cells, but there are %d headings; put quotation marks around a text that contains the separator", len(cells), want)}
	}
	for len(cells) < want {
		cells = append(cells, "")
	}
	return cells, nil
}

// separator looks at the line of headings.
func separator(text []byte) rune {
	for line := range bytes.Lines(text) {
		if bytes.HasPrefix(line, []byte("#")) || len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		if bytes.Count(line, []byte(";")) > bytes.Count(line, []byte(",")) {
			return ';'
		}
		break
	}
	return ','
}

func (c Columns) check(headings []string, line int, name string) error {
	for i, h := range headings {
		switch {
		case h == "":
			return &Error{name, line, fmt.Sprint(i + 1), "has no heading"}
		case !c.has(h):
			return &Error{name, line, h, "is not a heading of this table; correct it, or remove the column; the headings are: " + strings.Join(append(slices.Clone(c.Needed), c.Allowed...), ", ")}
		case slices.Contains(headings[:i], h):
			return &Error{name, line, h, "appears twice; remove one of the two"}
		}
	}
	for _, h := range c.Needed {
		if !slices.Contains(headings, h) {
			return &Error{name, line, h, "is missing; add it, with its heading"}
		}
	}
	return nil
}

// reader hands gocsv records that are already split.
type reader struct{ records [][]string }

func (r *reader) Read() ([]string, error) {
	if len(r.records) == 0 {
		return nil, io.EOF
	}
	first := r.records[0]
	r.records = r.records[1:]
	return first, nil
}

func (r *reader) ReadAll() ([][]string, error) {
	all := r.records
	r.records = nil
	return all, nil
}

// OneBreak writes every line break within a cell as \n, as CSV is read:
// programs that save a table anew change one kind of break into another.
func OneBreak(text string) string {
	if !strings.Contains(text, "\r") {
		return text
	}
	return strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
}
