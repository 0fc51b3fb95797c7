package alarms

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
)

// slip is one mistake put into the sheet on purpose.
type slip struct {
	kind  string
	row   int     // of the sheet, from 1
	cells []int   // columns from 1
	truth string  // what stood in the first of them, "" for a pair
	loose float64 // relative rounding of what was written in another unit
}

const (
	millimetresPerInch = 25.4
	gramsPerOunce      = 28.349523125
)

type slipKind struct {
	name string
	do   func(*rand.Rand, []string) (slip, bool)
}

// slipKinds write one slip into a row; false where it does not offer itself.
var slipKinds = []slipKind{
	{"ten times too large", slipFactor(10)},
	{"ten times too small", slipFactor(0.1)},
	{"cm for mm", slipUnit(10)},
	{"inch for mm", slipUnit(millimetresPerInch)},
	{"ounce for gram", slipOunce},
	{"digits exchanged", slipSpelling(exchangedDigits)},
	{"digit misread", slipSpelling(misreadDigits)},
	{"tare not subtracted", slipTareLeftIn},
	{"gross and tare exchanged", slipGrossForTare},
	{"columns exchanged", slipColumns},
}

// oddSlips are slips of kinds that are rarer, or that nothing is known of.
var oddSlips = []slipKind{
	{"digit written twice", slipSpelling(doubledDigits)},
	{"digit left out", slipSpelling(droppedDigits)},
	{"tare in ounces", slipTareInOunces},
	{"another number", slipAnything},
	{"leading digit one off", slipSpelling(leadingDigitOff(-1, 1))},
	{"leading digit two or three off", slipSpelling(leadingDigitOff(-3, -2, 2, 3))},
}

func doubledDigits(text string) (out []string) {
	for _, i := range digitsAt(text) {
		out = append(out, text[:i+1]+text[i:])
	}
	return out
}

func droppedDigits(text string) (out []string) {
	for _, i := range digitsAt(text) {
		if t := text[:i] + text[i+1:]; len(digitsAt(t)) > 1 && t[0] != '.' && t[0] != '0' {
			out = append(out, t)
		}
	}
	return out
}

// leadingDigitOff misses by so many of the digit that counts most.
func leadingDigitOff(by ...int) func(string) []string {
	return func(text string) (out []string) {
		i := digitsAt(text)[0]
		for _, off := range by {
			if d := int(text[i]) + off; d > '0' && d <= '9' {
				out = append(out, text[:i]+string(rune(d))+text[i+1:])
			}
		}
		return out
	}
}

func slipTareInOunces(_ *rand.Rand, row []string) (slip, bool) {
	if row[atBag] == "" || row[atGross] == "" {
		return slip{}, false
	}
	s, ok := one(row, atBag, strconv.FormatFloat(number(row[atBag])/gramsPerOunce, 'f', 2, 64))
	s.loose = roundingOf(row[atBag])
	return s, ok
}

// slipAnything writes a number between a third and the threefold.
func slipAnything(draw *rand.Rand, row []string) (slip, bool) {
	at := lengthCells(row)
	if len(at) == 0 {
		return slip{}, false
	}
	c := at[draw.IntN(len(at))]
	by := math.Exp(0.3 + 0.8*draw.Float64())
	if draw.IntN(2) == 0 {
		by = 1 / by
	}
	return one(row, c, strconv.FormatFloat(number(row[c])*by, 'f', decimalsOf(row[c]), 64))
}

// lengthCells lists the columns (from 0) in which the row has a length.
func lengthCells(row []string) (at []int) {
	for c := atSVL; c < atSVL+1+len(limbs); c++ {
		if row[c] != "" {
			at = append(at, c)
		}
	}
	return at
}

// one rewrites a single cell.
func one(row []string, column int, text string) (slip, bool) {
	s := slip{cells: []int{column + 1}, truth: row[column]}
	row[column] = text
	return s, text != s.truth
}

func number(text string) float64 {
	v, _ := strconv.ParseFloat(text, 64)
	return v
}

func decimalsOf(text string) int {
	_, after, _ := strings.Cut(text, ".")
	return len(after)
}

// moved writes a number with its decimal point elsewhere.
func moved(text string, by float64) string {
	d := decimalsOf(text) + 1
	if by > 1 {
		d = max(0, d-2)
	}
	return strconv.FormatFloat(number(text)*by, 'f', d, 64)
}

func slipFactor(by float64) func(*rand.Rand, []string) (slip, bool) {
	return func(draw *rand.Rand, row []string) (slip, bool) {
		at := lengthCells(row)
		if row[atGross] != "" {
			at = append(at, atGross)
		}
		if len(at) == 0 {
			return slip{}, false
		}
		c := at[draw.IntN(len(at))]
		return one(row, c, moved(row[c], by))
	}
}

func slipUnit(by float64) func(*rand.Rand, []string) (slip, bool) {
	return func(draw *rand.Rand, row []string) (slip, bool) {
		at := lengthCells(row)
		if len(at) == 0 {
			return slip{}, false
		}
		c := at[draw.IntN(len(at))]
		s, ok := one(row, c, strconv.FormatFloat(number(row[c])/by, 'f', 2, 64))
		s.loose = roundingOf(row[c])
		return s, ok
	}
}

// netOf is the mass of the animal as the row has it.
func netOf(row []string) (string, bool) {
	if row[atNet] != "" {
		return row[atNet], true
	}
	net := number(row[atGross]) - number(row[atBag])
	return strconv.FormatFloat(net, 'f', 1, 64), row[atGross] != "" && net > 0
}

// onlyNet writes a net in place of the weighing.
func onlyNet(row []string, text, truth string) slip {
	row[atGross], row[atBag], row[atNet] = "", "", text
	return slip{cells: []int{atNet + 1}, truth: truth}
}

// slipOunce weighs the animal in ounces and writes the net.
func slipOunce(_ *rand.Rand, row []string) (slip, bool) {
	net, ok := netOf(row)
	if !ok {
		return slip{}, false
	}
	s := onlyNet(row, strconv.FormatFloat(number(net)/gramsPerOunce, 'f', 2, 64), net)
	s.loose = roundingOf(row[atNet])
	return s, true
}

func slipTareLeftIn(_ *rand.Rand, row []string) (slip, bool) {
	net, ok := netOf(row)
	if !ok || row[atGross] == "" {
		return slip{}, false
	}
	return onlyNet(row, row[atGross], net), true
}

func slipGrossForTare(_ *rand.Rand, row []string) (slip, bool) {
	if _, ok := netOf(row); !ok || row[atGross] == "" || row[atGross] == row[atBag] {
		return slip{}, false
	}
	row[atGross], row[atBag] = row[atBag], row[atGross]
	return slip{cells: []int{atGross + 1, atBag + 1}}, true
}

func slipSpelling(ways func(string) []string) func(*rand.Rand, []string) (slip, bool) {
	return func(draw *rand.Rand, row []string) (slip, bool) {
		at := lengthCells(row)
		if len(at) == 0 {
			return slip{}, false
		}
		c := at[draw.IntN(len(at))]
		texts := ways(row[c])
		if len(texts) == 0 {
			return slip{}, false
		}
		return one(row, c, texts[draw.IntN(len(texts))])
	}
}

func digitsAt(text string) (at []int) {
	for i := range len(text) {
		if text[i] >= '0' && text[i] <= '9' {
			at = append(at, i)
		}
	}
	return at
}

func exchangedDigits(text string) (out []string) {
	at := digitsAt(text)
	for i := 1; i < len(at); i++ {
		b := []byte(text)
		b[at[i-1]], b[at[i]] = b[at[i]], b[at[i-1]]
		if string(b) != text && b[0] != '0' {
			out = append(out, string(b))
		}
	}
	return out
}

func misreadDigits(text string) (out []string) {
	like := map[byte]string{'0': "68", '1': "74", '2': "7", '3': "58", '4': "19", '5': "36", '6': "058", '7': "129", '8': "036", '9': "47"}
	for _, i := range digitsAt(text) {
		for _, d := range []byte(like[text[i]]) {
			b := []byte(text)
			if b[i] = d; b[0] != '0' {
				out = append(out, string(b))
			}
		}
	}
	return out
}

func slipColumns(draw *rand.Rand, row []string) (slip, bool) {
	at := lengthCells(row)
	if len(at) < 2 {
		return slip{}, false
	}
	draw.Shuffle(len(at), func(i, k int) { at[i], at[k] = at[k], at[i] })
	a, b := at[0], at[1]
	if row[a] == row[b] {
		return slip{}, false
	}
	row[a], row[b] = row[b], row[a]
	return slip{cells: []int{a + 1, b + 1}}, true
}

// plantSlips puts one slip into every so many rows of a sheet, kind after kind,
// never two into one row.
func plantSlips(rows [][]string, kinds []slipKind, every int, seed uint64) []slip {
	draw := rand.New(rand.NewPCG(seed, 16))
	order := draw.Perm(len(rows))
	var all []slip
	for n := range max(1, len(rows)/every) {
		kind := kinds[(n+int(seed))%len(kinds)]
		for len(order) > 0 {
			at := order[0]
			order = order[1:]
			if s, ok := kind.do(draw, rows[at]); ok {
				s.kind, s.row = kind.name, at+2
				all = append(all, s)
				break
			}
		}
	}
	return all
}

// roundingOf is how far a number may be from what was rounded to it, relative.
func roundingOf(text string) float64 {
	return 0.5 * math.Pow10(-decimalsOf(text)) / number(text)
}

// right reports whether a suggestion is what was meant: to 2 %, or to what was
// rounded away in another unit and in the suggestion.
func (s *slip) right(suggestion string) bool {
	if s.truth == "" {
		return suggestion != ""
	}
	number, _, _ := strings.Cut(suggestion, " ")
	got, err := strconv.ParseFloat(number, 64)
	want, err2 := strconv.ParseFloat(s.truth, 64)
	off := 0.02 * want
	if s.loose > 0 {
		off = max(off, s.loose*want+0.5*math.Pow10(-decimalsOf(number)))
	}
	return err == nil && err2 == nil && math.Abs(got-want) <= off
}

func (s *slip) at(row, column int) bool {
	return row == s.row && (column == 0 || slices.Contains(s.cells, column))
}
