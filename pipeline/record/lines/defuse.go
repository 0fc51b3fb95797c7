package lines

import (
	"regexp"
	"strings"
)

// A spreadsheet takes a cell that begins with one of these for a formula, and
// reckons it. Tables for spreadsheets have an apostrophe before such a cell, and
// one more where the cell has apostrophes there already, so that reading can
// take it away again. Numbers stay as they are, and so do dashes and plus signs
// by themselves.
const formulaBegins = "=+-@\t\r"

var harmless = regexp.MustCompile(`^(?:[+-]?\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?|[+-]+)$`)

// guarded reports whether a cell is written with one apostrophe more.
func guarded[T string | []byte](cell T) bool {
	marks := 0
	for marks < len(cell) && cell[marks] == '\'' {
		marks++
	}
	if marks == len(cell) || strings.IndexByte(formulaBegins, cell[marks]) < 0 {
		return false
	}
	return marks > 0 || !harmless.MatchString(string(cell))
}

// Defused is a cell as it stands in a table for spreadsheets.
func Defused(cell string) string {
	if guarded(cell) {
		return "'" + cell
	}
	return cell
}

// Armed takes away what Defused added.
func Armed(cell string) string {
	if bare, marked := strings.CutPrefix(cell, "'"); marked && guarded(bare) {
		return bare
	}
	return cell
}

// AppendCell adds one field of a table for spreadsheets.
func AppendCell[T string | []byte](b []byte, cell T) []byte {
	if !guarded(cell) {
		return AppendField(b, cell)
	}
	return AppendField(b, "'"+string(cell))
}
