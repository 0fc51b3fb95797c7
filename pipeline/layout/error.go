package layout

import (
	"fmt"

	"spadefoot/pipeline/record"
)

// Error says which row of a long sheet is not as the rows that its layout was
// told from, and what to do about it.
type Error struct {
	File   string
	Row    int
	Column int // 0 where the whole row is meant
	Cause  string
	Advice string
}

// Error returns place, cause and advice in one line.
func (e *Error) Error() string {
	at := record.Address{File: e.File, Row: e.Row, Column: e.Column}
	return fmt.Sprintf("%s: %s; %s", at, e.Cause, e.Advice)
}
