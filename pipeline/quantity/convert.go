package quantity

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
)

// ErrNoNumber is returned when a missing or unread quantity is to be converted.
var ErrNoNumber = errors.New("the cell holds no number")

// UnitError is returned when a unit cannot be changed into another.
type UnitError struct{ From, To string }

func (e *UnitError) Error() string {
	return fmt.Sprintf("unit %q cannot be converted into %q", e.From, e.To)
}

// Convert returns the quantity in another unit. The arithmetic is exact and the
// number is not rounded. Decimals is one digit more than the written resolution is
// worth, so that going back to the written unit gives the number that was written; the
// text has more of them, for seven significant digits, if they are not zeros. Where the
// units differ by a power of ten the digits stay as they were; in its own unit a
// fraction has the first decimal place that moves it by no more than a tenth of its step.
//
// A quantity whose unit is not known is taken to be in the unit asked for.
func (q Quantity) Convert(to string) (Quantity, error) {
	if !q.hasNumber() {
		return q, ErrNoNumber
	}
	if q.Unit == "" || q.Unit == to {
		q.Unit = to
		return q, nil
	}
	t := units()
	f, g := t.codes[q.Unit], t.codes[to]
	if f == nil || g == nil || f.dimension != g.dimension {
		return q, &UnitError{From: q.Unit, To: to}
	}
	ratio := new(big.Rat).Quo(f.factor, g.factor)
	change := func(v float64) float64 {
		r := new(big.Rat).Add(exact(v, q.Decimals, q.unrounded), f.offset)
		r.Mul(r, ratio)
		out, _ := r.Sub(r, g.offset).Float64()
		return out
	}
	slope, _ := ratio.Float64()
	step, places := q.Step*slope, 0
	if shift, ok := powerOfTen(ratio); ok && !q.unrounded {
		places = q.Decimals - shift
	} else {
		places = placesFor(step) + 1
		q.converted = true
	}
	q.Number = change(q.Number)
	if q.State == record.Interval || q.Half > 0 {
		q.Low, q.High = change(q.Low), change(q.High)
	}
	q.Half *= slope
	if q.State == record.Interval {
		q.Number = (q.Low + q.High) / 2
	}
	q.Unit, q.Decimals, q.Step, q.unrounded = to, places, step, true
	return q, nil
}

// powerOfTen returns k for a ratio of ten to the power of k.
func powerOfTen(ratio *big.Rat) (k int, ok bool) {
	v, _ := ratio.Float64()
	k = int(math.Round(math.Log10(v)))
	power, _ := new(big.Rat).SetString(fmt.Sprintf("1e%d", k))
	return k, ratio.Cmp(power) == 0
}

// placesFor returns the digits after the point whose place is nearest, on a
// logarithmic scale, to a step, and is no more than twice as large.
func placesFor(step float64) int {
	n := -int(math.Round(math.Log10(step)))
	if math.Pow10(-n) > 2*step*(1+1e-9) {
		n++
	}
	return n
}

// In returns value, digits after the point and text in another unit, by Convert.
// The value is not rounded, the text is. The text of an interval is "40-42" and
// its value the middle.
//
// It fails with ErrNoNumber for missing and unread cells and with a *UnitError
// for units of another dimension.
func (q Quantity) In(unit string) (value float64, decimals int, text string, err error) {
	c, err := q.Convert(unit)
	if err != nil {
		return 0, 0, "", err
	}
	return c.Number, c.Decimals, c.text(), nil
}

// Reading returns the quantity as a reading in the measurement's own unit. The
// measurement, instrument, replicate and address are for the caller to fill.
// A missing or unread quantity has no number and no text.
func (q Quantity) Reading(unit, verbatim string) (record.Reading, error) {
	r := record.Reading{Series: &record.Series{Unit: unit, WrittenUnit: q.Unit}, State: q.State, Verbatim: verbatim}
	r.SetRemark(q.Remark)
	if !q.hasNumber() {
		return r, nil
	}
	c, err := q.Convert(unit)
	if err != nil {
		return r, err
	}
	r.Number, r.Decimals, r.Text = c.Number, c.Decimals, c.text()
	if c.State == record.Interval || c.Half > 0 {
		r.SetBounds(c.Low, c.High)
	}
	return r, nil
}

// exact returns v as it was written, with d digits after the point, or as it is
// stored: a fraction of powers of two is exact so.
func exact(v float64, d int, stored bool) *big.Rat {
	if !stored {
		if r, ok := new(big.Rat).SetString(strconv.FormatFloat(v, 'f', max(d, 0), 64)); ok {
			return r
		}
	}
	if r := new(big.Rat).SetFloat64(v); r != nil {
		return r
	}
	return new(big.Rat)
}

// rounded writes v with d digits after the point, half away from zero; a
// negative d rounds to tens, hundreds and so on. It goes by the shortest
// decimal number that is stored as v.
func rounded(v float64, d int) string {
	short := strconv.FormatFloat(v, 'f', -1, 64)
	_, frac, _ := strings.Cut(short, ".")
	r, ok := new(big.Rat).SetString(short)
	if d >= len(frac) || !ok {
		return format(v, d)
	}
	return Fixed(r, d)
}

// publishedDigits is how many significant digits a converted number has: whoever needs
// the one that was written, or another unit, gets it within a millionth.
const publishedDigits = 7

// significant writes v with publishedDigits, but for zeros at the end, and with d digits
// after the point at least.
func significant(v float64, d int) string {
	s := rounded(v, max(d, publishedDigits-1-int(math.Floor(math.Log10(max(math.Abs(v), 1e-9))))))
	if whole, part, ok := strings.Cut(s, "."); ok {
		least := max(d, 0)
		return strings.TrimSuffix(whole+"."+part[:least]+strings.TrimRight(part[least:], "0"), ".")
	}
	return s
}

// Fixed writes r with d digits after the point, half away from zero; a negative d
// rounds to tens, hundreds and so on. Zero has no sign.
func Fixed(r *big.Rat, d int) string {
	if d >= 0 {
		return unsigned(r.FloatString(d))
	}
	ten := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(-d)), nil))
	tens, _ := new(big.Rat).SetString(new(big.Rat).Quo(r, ten).FloatString(0))
	return unsigned(tens.Mul(tens, ten).FloatString(0))
}
