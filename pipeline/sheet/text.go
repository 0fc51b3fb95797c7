package sheet

import (
	"errors"
	"fmt"
	"io"
	"iter"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// ReadText reads separated text. It holds every row; TextRows does not. Blank
// lines between rows are rows with no cells, those at the end are left out.
func ReadText(name string, r io.Reader, o Options) (record.Sheet, []record.Finding, error) {
	s := record.Sheet{File: name}
	var found []record.Finding
	used := newSpent(o.Budgets)
	for row, err := range TextRows(name, r, o, func(f record.Finding) { found = append(found, f) }) {
		if err != nil {
			return record.Sheet{}, nil, err
		}
		if !used.blank(record.Address{File: name, Row: row.Number}, len(row.Cells)) {
			return record.Sheet{}, nil, used.over
		}
		s.Rows = append(s.Rows, row)
	}
	record.SortFindings(found)
	return s, found, nil
}

// TextRows returns separated text row by row, as ReadText would. Each finding is
// passed to found as it arises; those that need the whole file (rows of odd width)
// come after the last row. A long run of blank lines is skipped. found may be nil.
// An error, always an *Error, ends the rows.
func TextRows(name string, r io.Reader, o Options, found func(record.Finding)) iter.Seq2[record.Row, error] {
	return func(yield func(record.Row, error) bool) {
		t := &textReader{name: name, found: found}
		if t.found == nil {
			t.found = func(record.Finding) {}
		}
		if err := t.begin(r, o); err != nil {
			yield(record.Row{}, err)
			return
		}
		for {
			row, err := t.next()
			if err == io.EOF || !yield(row, err) || err != nil {
				return
			}
		}
	}
}

// textReader joins decoder and splitter, and watches what passes.
type textReader struct {
	name     string
	decoder  *decoder
	splitter *splitter
	widths   widths
	found    func(record.Finding)
	reported bool // how the encoding was found
	any      bool // a line with something on it was seen

	spent   *spent       // the budgets of one cell and one row
	waiting []record.Row // blank lines, and once there is one the row below them
	blanks  int          // lines of the run
	holds   bool         // there is a row below them
}

func (t *textReader) begin(r io.Reader, o Options) error {
	d, err := newDecoder(r, o.Encoding)
	if err != nil {
		return &Error{File: t.name, Cause: err.Error(), Advice: "use an IANA name such as windows-1252, macintosh, IBM850 or UTF-8, or leave it out"}
	}
	if o.Separator == '"' || o.Separator == '\n' || o.Separator == '\r' || o.Separator == 0xfffd {
		return &Error{File: t.name, Cause: fmt.Sprintf("%q cannot separate cells", o.Separator), Advice: "name another separator or leave it out"}
	}
	t.decoder, t.spent = d, newSpent(o.Budgets)
	t.splitter = &splitter{src: d, line: 1, plain: map[int]bool{}, buf: make([]byte, 4*sniffSize), report: t.report}
	for t.splitter.end < sniffSize && t.splitter.fill() {
	}
	sample := t.splitter.buf[:min(t.splitter.end, sniffSize)]
	t.splitter.shape = readShape(t.name, sample, t.splitter.srcErr != nil, o.Separator)
	if t.splitter.shape.named {
		end, _, err := t.splitter.lineEnd(0)
		if err != nil {
			return t.failure(err)
		}
		t.splitter.advance(end, 1)
	}
	if o.Separator == 0 {
		for _, f := range t.splitter.shape.report(t.name) {
			t.found(f)
		}
	}
	return nil
}

// next returns the next row, or io.EOF behind the last that holds something.
// Lines with nothing on them, or nothing but separators, wait until something
// is below them.
func (t *textReader) next() (record.Row, error) {
	for !t.holds {
		row, err := t.splitter.next()
		if err == io.EOF {
			return record.Row{}, t.end()
		}
		if err != nil {
			return record.Row{}, t.failure(err)
		}
		t.tellEncoding()
		if holdsNothing(row) {
			if t.blanks++; t.blanks <= maxBlanks {
				t.waiting = append(t.waiting, row)
			}
			continue
		}
		t.any = true
		if t.watch(row); t.spent.over != nil {
			return record.Row{}, t.spent.over
		}
		if t.blanks == 0 {
			return row, nil
		}
		if t.blanks > maxBlanks {
			t.waiting = t.waiting[:0]
		}
		t.waiting, t.blanks, t.holds = append(t.waiting, row), 0, true
	}
	row := t.waiting[0]
	if t.waiting = t.waiting[1:]; len(t.waiting) == 0 {
		t.waiting, t.holds = nil, false
	}
	return row, nil
}

func holdsNothing(row record.Row) bool {
	return !slices.ContainsFunc(row.Cells, func(c record.Cell) bool { return c.Text != "" })
}

// end reports what only the whole file tells.
func (t *textReader) end() error {
	if !t.any {
		return &Error{File: t.name, Cause: "every line is blank", Advice: "check that this is the right file and was saved"}
	}
	t.tellEncoding()
	t.widths.report(t.name, t.splitter.unended(), t.found)
	t.found = func(record.Finding) {}
	return io.EOF
}

// failure says where an error of decoder or splitter struck.
func (t *textReader) failure(err error) error {
	row, column := t.splitter.place()
	e := &Error{File: t.name, Row: row, Column: column, Cause: "the file cannot be read beyond this point", Advice: adviceCopy, Err: bare(err)}
	var bad *badByte
	switch {
	case errors.As(err, &bad):
		e.Cause, e.Err = "this character cannot be read", bad
		e.Advice = "save the file as UTF-8, or name its encoding in the settings of the sheet"
		if bad.encoding == utf8Encoding.name && !t.decoder.guess.named {
			e.Cause += ", though the file is UTF-8 up to here"
			e.Advice = "save the whole file as UTF-8; parts of it come from a program that writes another encoding"
		}
	case errors.Is(err, errLongLine):
		e.Column, e.Err = 0, nil
		e.Cause, e.Advice = "the line is too long for a row of a table", "check that this is the right file and that it has line endings"
	}
	return e
}

// tellEncoding reports, once, an encoding that had to be guessed.
func (t *textReader) tellEncoding() {
	g := t.decoder.guess
	if t.reported || g == nil {
		return
	}
	t.reported = true
	if g.certain {
		return
	}
	f := record.Finding{Rule: ruleEncoding, Level: record.Note, At: record.Address{File: t.name}, Value: g.sample,
		Reason:  "the file's encoding seems to be " + g.found.name,
		Figures: []record.Figure{{Name: "confidence", Value: rounded(g.confidence)}, {Name: "characters", Value: float64(g.count)}}}
	if g.sample != "" {
		f.Reason += fmt.Sprintf(", in which a word of it reads %q", g.sample)
	}
	if g.instead != "" {
		f.Level = record.Warning
		f.Reason = fmt.Sprintf("the settings name the encoding %s, but the file begins with the byte order mark of %s and was read as that", g.instead, g.found.name)
	}
	if g.runnerUp != "" {
		f.Reason += "; the next likeliest is " + g.runnerUp
	}
	if g.confidence < 0.6 {
		f.Level = record.Warning
	}
	t.found(f)
}

// watch looks at a row for what is worth a finding. Each look at the cells is
// taken only when the row can hold what it looks for.
func (t *textReader) watch(row record.Row) {
	t.widths.add(row)
	filled := 0
	for i := range row.Cells {
		c := &row.Cells[i]
		if c.Text != "" {
			filled++
		}
		switch {
		case !t.spent.holds(record.Address{File: t.name, Row: row.Number, Column: c.Column}, c.Text):
		case len(c.Text) >= 6 && scientific(c.Text):
			t.report(ruleDigits, record.Error, c.Row, c.Column, c.Text, "a long number was written in scientific notation; its last digits are not in the file")
		case t.decoder.lost && strings.Contains(c.Text, "\uFFFD"):
			t.report(ruleLost, record.Warning, c.Row, c.Column, c.Text, "the cell holds the replacement character of a character that was lost earlier")
		case t.decoder.control && strings.IndexByte(c.Text, 0) >= 0:
			t.report(ruleControl, record.Warning, c.Row, c.Column, c.Text, "the cell holds a NUL character")
		}
	}
	t.spent.filled(record.Address{File: t.name, Row: row.Number}, filled)
}

func (t *textReader) report(rule string, level record.Level, row, column int, value, reason string) {
	t.found(record.Finding{Rule: rule, Level: level, At: record.Address{File: t.name, Row: row, Column: column}, Value: value, Reason: reason})
}

// scientific recognises a whole number that a spreadsheet program wrote with a
// power of ten and fewer digits than the power asks for, such as 9.85112E+14.
func scientific(s string) bool {
	e := len(s) - 4 // E+14
	if s[e] != 'E' || s[e+1] != '+' || !isDigit(s[e+2]) || !isDigit(s[e+3]) {
		return false
	}
	power := int(s[e+2]-'0')*10 + int(s[e+3]-'0')
	m := strings.TrimPrefix(s[:e], "-")
	if len(m) < 3 || !isDigit(m[0]) || m[1] != '.' && m[1] != ',' || strings.Trim(m[2:], "0123456789") != "" {
		return false
	}
	return power >= 11 && len(m)-1 <= power
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }
