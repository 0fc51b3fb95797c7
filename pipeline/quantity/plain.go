package quantity

import (
	"math"
	"slices"
)

// Column reads the plain cells of one column: digits with at most one point.
// They are nearly all cells of most sheets, and Parse has much to ask of a cell
// that they answer at once.
type Column struct {
	point, whole bool // digits with a point, and without, are plain
	zero         bool // a zero is
	sentinels    []float64
}

// NewColumn prepares for cells that are read with these options.
func NewColumn(o Options) *Column {
	c := &Column{zero: !o.ZeroMissing && !o.NotZero}
	c.whole = o.Part <= 0 && (o.Want == "" || o.Unit == "" && o.Want == "1" || o.Unit != "" && Dimension(o.Unit) == o.Want)
	c.point = c.whole && o.Decimal != ','
	for v := range missing().sentinels {
		if v > 0 {
			c.sentinels = append(c.sentinels, v)
		}
	}
	slices.Sort(c.sentinels)
	return c
}

const (
	maxPlain      = 15 // digits, all of which a stored number holds
	maxPlainWhole = 9  // of them before the point
)

// tens are powers of ten, which are exact.
var tens = func() (out [maxPlain + 1]float64) {
	for i := range out {
		out[i] = math.Pow10(i)
	}
	return out
}()

// Plain reads a plain cell: Measured, in the unit of the options, with no
// problem and no remark, and as published the text itself. ok is false for any
// other cell, which is for Parse; what it reads plain, Parse reads the same.
func (c *Column) Plain(text string) (number float64, decimals int, ok bool) {
	if !c.whole || len(text) == 0 || len(text) > maxPlain+1 {
		return 0, 0, false
	}
	n, at := 0, -1
	for i := 0; i < len(text); i++ {
		switch b := text[i]; {
		case isDigit(rune(b)):
			n = n*10 + int(b-'0')
		case b == '.' && at < 0:
			at = i
		default:
			return 0, 0, false
		}
	}
	whole := len(text)
	if at >= 0 {
		whole, decimals = at, len(text)-at-1
		if !c.point || decimals == 0 {
			return 0, 0, false
		}
	}
	if whole == 0 || whole > maxPlainWhole || whole+decimals > maxPlain || text[0] == '0' && whole > 1 {
		return 0, 0, false
	}
	number = float64(n) / tens[decimals]
	if number == 0 && !c.zero || len(c.sentinels) > 0 && number >= c.sentinels[0] && slices.Contains(c.sentinels, number) {
		return 0, 0, false
	}
	return number, decimals, true
}
