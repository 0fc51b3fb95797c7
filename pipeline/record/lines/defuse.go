package lines

import "strings"

// A spreadsheet takes a cell that begins with one of these for a formula, and
// reckons it. Tables for spreadsheets have an apostrophe before such a cell, and
// one more where the cell has apostrophes there already, so that reading can
// take it away again. Numbers stay as they are, and so do dashes and plus signs
// by themselves.
func beginsFormula(b byte) bool { return asks[b]&formula != 0 && b != '\'' }

// harmless reports whether a cell is a number, or dashes and plus signs alone.
func harmless[T string | []byte](cell T) bool {
	signs := signsAhead(cell, len(cell))
	if signs == len(cell) {
		return signs > 0
	}
	i := signsAhead(cell, 1)
	whole := digitsAhead(cell[i:])
	if i += whole; whole == 0 {
		return false
	}
	if i < len(cell) && (cell[i] == '.' || cell[i] == ',') {
		part := digitsAhead(cell[i+1:])
		if i += 1 + part; part == 0 {
			return false
		}
	}
	if i < len(cell) && cell[i]|0x20 == 'e' {
		i++
		i += signsAhead(cell[i:], 1)
		power := digitsAhead(cell[i:])
		if i += power; power == 0 {
			return false
		}
	}
	return i == len(cell)
}

// signsAhead is how many signs stand at the beginning, up to most.
func signsAhead[T string | []byte](cell T, most int) (n int) {
	for n < min(most, len(cell)) && (cell[n] == '+' || cell[n] == '-') {
		n++
	}
	return n
}

func digitsAhead[T string | []byte](cell T) (n int) {
	for n < len(cell) && '0' <= cell[n] && cell[n] <= '9' {
		n++
	}
	return n
}

// guarded reports whether a cell is written with one apostrophe more.
func guarded[T string | []byte](cell T) bool {
	marks := 0
	for marks < len(cell) && cell[marks] == '\'' {
		marks++
	}
	if marks == len(cell) || !beginsFormula(cell[marks]) {
		return false
	}
	return marks > 0 || !harmless(cell)
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
	switch {
	case len(cell) == 0:
		return b
	case asks[cell[0]]&formula != 0 && guarded(cell):
		return AppendField(b, "'"+string(cell))
	case Bare(cell):
		return append(b, cell...)
	}
	return AppendField(b, cell)
}
