package sheet

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"spadefoot/pipeline/record"
)

// Error says why a file cannot be read, where, and what to do about it. Row
// and Column count from 1 and are 0 where the whole file is meant.
type Error struct {
	File   string
	Sheet  string // tab of a workbook
	Row    int
	Column int
	Cause  string // what is wrong
	Advice string // what to do
	Err    error  // the error underneath, may be nil
}

// Error returns place, cause, the error underneath and advice in one line.
func (e *Error) Error() string {
	var b strings.Builder
	at := record.Address{File: e.File, Sheet: e.Sheet, Row: e.Row, Column: e.Column}
	b.WriteString(at.String())
	b.WriteString(": ")
	b.WriteString(e.Cause)
	if e.Err != nil && !errors.Is(e.Err, fs.ErrNotExist) { // the cause says that in words
		fmt.Fprintf(&b, " (%v)", e.Err)
	}
	if e.Advice != "" {
		b.WriteString("; ")
		b.WriteString(e.Advice)
	}
	return b.String()
}

// Unwrap returns the error underneath.
func (e *Error) Unwrap() error { return e.Err }
