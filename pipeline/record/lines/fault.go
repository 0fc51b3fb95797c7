package lines

import (
	"encoding/csv"
	"errors"
	"fmt"
)

// Fault says of an error of encoding/csv in plain words what is wrong in the
// line and what to do, and where the line begins; 0 where that is not known.
func Fault(err error) (line int, said string) {
	p, ok := errors.AsType[*csv.ParseError](err)
	if !ok {
		return 0, err.Error()
	}
	switch {
	case errors.Is(p.Err, csv.ErrBareQuote):
		said = fmt.Sprintf("there is a quotation mark at character %d in a cell that does not begin with one; put the whole cell in quotation marks and double those inside it", p.Column)
	case errors.Is(p.Err, csv.ErrQuote):
		said = "a cell begins with a quotation mark but does not end with one; close it at the end of the cell, and double those inside it"
	case errors.Is(p.Err, csv.ErrFieldCount):
		said = "the line has more or fewer cells than headings; put quotation marks around a cell that contains the separator"
	default:
		said = p.Err.Error()
	}
	return p.StartLine, said
}
