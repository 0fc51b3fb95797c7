package typing

import (
	"math"
	"strconv"
)

// Checked is what there is to say of a row.
type Checked struct {
	Doubts   []Doubt `json:"doubts"` // at warning or above, the gravest first
	Told     []Note  `json:"told"`
	Expected []Note  `json:"expected"` // of each measured column
}

// Doubt is one doubt. Column is an index; -1 where the row as a whole is
// meant.
type Doubt struct {
	Column     int    `json:"column"`
	Rule       string `json:"-"`
	Level      string `json:"-"`
	Says       string `json:"says"` // in a few words
	More       string `json:"more"` // the reason without its figures
	Suggestion string `json:"suggestion,omitempty"`
}

// Note is something worth knowing, beside a column.
type Note struct {
	Column int    `json:"column"`
	Says   string `json:"says"`
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
