package typing

import (
	"math"
	"strconv"
)

// Checked is what there is to say of a row.
type Checked struct {
	Doubts   []Doubt // at warning or above, the gravest first
	Told     []Note
	Expected []Note // of each measured column
}

// Doubt is one doubt. Column is an index; -1 where the row as a whole is
// meant.
type Doubt struct {
	Column     int
	Rule       string
	Level      string
	Says       string // in a few words
	More       string // the reason without its figures
	Suggestion string
}

// Note is something worth knowing, beside a column.
type Note struct {
	Column int
	Says   string
}

// Range writes the ends of a range to three digits of the larger.
func Range(low, high float64) string {
	decimals := 0
	if high > 0 {
		decimals = max(0, 2-int(math.Floor(math.Log10(high))))
	}
	return fixed(low, decimals) + " to " + fixed(high, decimals)
}

func fixed(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }
