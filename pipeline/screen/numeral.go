package screen

import (
	"strconv"
	"strings"
)

// numeral is a number as a person writes it: its digits, and how many of them
// stand after the separator. The zero numeral is none.
type numeral struct {
	digits   uint64
	n        int // digits, with zeros in front
	decimals int
	comma    bool // the separator
}

const (
	maxDigits = 18 // of a numeral, one fewer than a uint64 can hold
	maxExact  = 15 // digits that a float64 holds exactly
)

// tens are powers of ten, exact, and powers the same as whole numbers.
var (
	tens   = [maxExact + 1]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}
	powers = func() (of [maxDigits + 1]uint64) {
		of[0] = 1
		for i := 1; i < len(of); i++ {
			of[i] = 10 * of[i-1]
		}
		return of
	}()
)

// numeralIn finds the first number of a text: digits with at most one separator
// within or before them.
func numeralIn(text string) numeral {
	digit := func(i int) bool { return i < len(text) && text[i]-'0' <= 9 }
	for from := range len(text) {
		var x numeral
		i := from
		for ; digit(i); i++ {
			x.append(text[i])
		}
		if i < len(text) && (text[i] == '.' || text[i] == ',') && digit(i+1) {
			x.comma = text[i] == ','
			for i++; digit(i); i++ {
				x.append(text[i])
				x.decimals++
			}
		}
		switch {
		case x.n > maxDigits:
			return numeral{}
		case x.n > 0:
			return x
		}
	}
	return numeral{}
}

func (x *numeral) append(digit byte) { x.digits, x.n = 10*x.digits+uint64(digit-'0'), x.n+1 }

// value is the number, NaN of none. Up to maxExact digits and their power of ten
// are exact, and the quotient is rounded once, as strconv does it (Clinger 1990).
func (x numeral) value() float64 {
	switch {
	case x.n == 0:
		return nan
	case x.n <= maxExact:
		return float64(x.digits) / tens[x.decimals]
	}
	v, _ := strconv.ParseFloat(strings.Replace(x.text(), ",", ".", 1), 64) // of digits
	return v
}

func (x numeral) text() string {
	s := strconv.FormatUint(x.digits, 10)
	s = strings.Repeat("0", max(0, x.n-len(s))) + s
	if x.decimals == 0 {
		return s
	}
	separator := "."
	if x.comma {
		separator = ","
	}
	whole := x.n - x.decimals
	return s[:whole] + separator + s[whole:]
}

// last is the last digit, -1 where there is none.
func (x numeral) last() int {
	if x.n == 0 {
		return -1
	}
	return int(x.digits % 10)
}

// place is what a one counts as digit i from the left.
func (x numeral) place(i int) uint64 { return powers[x.n-1-i] }

func (x numeral) digit(i int) uint64 { return x.digits / x.place(i) % 10 }

// with is the numeral with another digit i.
func (x numeral) with(i int, digit uint64) numeral {
	x.digits += (digit - x.digit(i)) * x.place(i) // less than nothing comes round
	return x
}

// plausible reports whether a person would write the number so: no needless
// zero in front.
func (x numeral) plausible() bool { return x.n-x.decimals < 2 || x.digit(0) != 0 }

// transposed gives every numeral that has two neighbouring digits exchanged, a
// separator between them being no hindrance.
func (x numeral) transposed(give func(numeral)) {
	for i := 1; i < x.n; i++ {
		if a, b := x.digit(i-1), x.digit(i); a != b {
			give(x.with(i-1, b).with(i, a))
		}
	}
}

// alike are the digits that a hand makes alike (common practice).
var alike = [10][]uint64{{6, 8}, {7, 4}, {7}, {5, 8}, {1, 9}, {3, 6}, {0, 5, 8}, {1, 2, 9}, {0, 3, 6}, {4, 7}}

// misread gives every numeral that has one digit taken for one that looks alike.
func (x numeral) misread(give func(numeral)) {
	for i := range x.n {
		for _, d := range alike[x.digit(i)] {
			give(x.with(i, d))
		}
	}
}

// oneOff gives every numeral that has one digit, but not the last, one larger or
// smaller.
func (x numeral) oneOff(give func(numeral)) {
	for i := range x.n - 1 {
		if d := x.digit(i); d > 0 {
			give(x.with(i, d-1))
		}
		if d := x.digit(i); d < 9 {
			give(x.with(i, d+1))
		}
	}
}

// undoubled gives every numeral that has one of two equal neighbouring digits
// taken out, but not the only decimal.
func (x numeral) undoubled(give func(numeral)) {
	for i := 1; i < x.n; i++ {
		if x.digit(i) != x.digit(i-1) || i > 1 && x.digit(i-1) == x.digit(i-2) || x.decimals == 1 && i == x.n-1 {
			continue
		}
		y, p := x, x.place(i)
		y.digits, y.n = x.digits/(10*p)*p+x.digits%p, x.n-1
		if i >= x.n-x.decimals {
			y.decimals--
		}
		give(y)
	}
}

// leastCompleted is a number that no plausible numeral of completed is smaller than.
func (x numeral) leastCompleted() float64 {
	if whole := x.n - x.decimals; whole > 0 {
		return float64(powers[whole])
	}
	return 0 // it may begin with one zero
}

// completed gives every numeral that has one digit more before the separator.
func (x numeral) completed(give func(numeral)) {
	for i := range x.n - x.decimals + 1 {
		p := powers[x.n-i]
		front, rest := x.digits/p, x.digits%p
		for d := range uint64(10) {
			if i == 0 || front%10 != d { // else it is the same as before that digit
				y := x
				y.digits, y.n = (front*10+d)*p+rest, x.n+1
				give(y)
			}
		}
	}
}
