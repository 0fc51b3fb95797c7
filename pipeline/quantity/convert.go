package quantity

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"strconv"

	"spadefoot/pipeline/record"
)

// ErrNoNumber is returned when a missing or unread quantity is to be converted.
var ErrNoNumber = errors.New("the cell holds no number")

// UnitError is returned when a unit cannot be changed into another.
type UnitError struct{ From, To string }

func (e *UnitError) Error() string {
	return fmt.Sprintf("unit %q cannot be changed into %q", e.From, e.To)
}

// Convert gives the quantity in another unit. The arithmetic is exact; the
// result is rounded, half away from zero, to the decimal place that is nearest
// (on a logarithmic scale) to the step of the last place written, and is no
// more than twice as large, so that "1/8 oz" does not become 0 g. In its own
// unit a decimal number stays as it was written, and a fraction is rounded to
// the first decimal place that moves it by no more than a tenth of its step.
//
// A quantity whose unit is not known is taken to be in the unit asked for.
func (q Quantity) Convert(to string) (Quantity, error) {
	if !q.hasNumber() {
		return q, ErrNoNumber
	}
	if q.Unit == "" || q.Unit == to {
		q.Unit = to
		return q.round(), nil
	}
	t := units()
	f, g := t.codes[q.Unit], t.codes[to]
	if f == nil || g == nil || f.dimension != g.dimension {
		return q, &UnitError{From: q.Unit, To: to}
	}
	ratio := new(big.Rat).Quo(f.factor, g.factor)
	slope, _ := ratio.Float64()
	step := q.Step * slope
	places := placesFor(step)
	change := func(v float64) float64 {
		r := new(big.Rat).Add(exact(v, q.Decimals, q.fraction), f.offset)
		r.Mul(r, ratio)
		return round(r.Sub(r, g.offset), places)
	}
	q.Number = change(q.Number)
	if q.State == record.Interval || q.Half > 0 {
		q.Low, q.High = change(q.Low), change(q.High)
	}
	if q.Half > 0 {
		h := exact(q.Half, -1, true)
		q.Half, _ = h.Mul(h, ratio).Float64()
	}
	if q.State == record.Interval {
		q.Number = (q.Low + q.High) / 2
	}
	q.Unit, q.Decimals, q.Step, q.fraction = to, places, step, false
	return q, nil
}

// placesFor gives the digits after the point for a step.
func placesFor(step float64) int {
	n := -int(math.Round(math.Log10(step)))
	if math.Pow10(-n) > 2*step*(1+1e-9) {
		n++
	}
	return n
}

// round writes a fraction in its own unit to the place of its step.
func (q Quantity) round() Quantity {
	if !q.fraction {
		return q
	}
	for _, v := range []*float64{&q.Number, &q.Low, &q.High} {
		*v = round(exact(*v, q.Decimals, true), q.Decimals)
	}
	q.fraction = false
	return q
}

// In gives value, digits after the point and text in another unit, by Convert.
// The text of an interval is "40-42" and its value the middle.
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

// Reading gives the quantity as a reading in the measurement's own unit. The
// measurement, instrument, replicate and address are for the caller to fill.
// A missing or unread quantity has no number and no text.
func (q Quantity) Reading(unit, verbatim string) (record.Reading, error) {
	r := record.Reading{
		State: q.State, Unit: unit, WrittenUnit: q.Unit, Verbatim: verbatim, Remark: q.Remark,
	}
	if !q.hasNumber() {
		return r, nil
	}
	c, err := q.Convert(unit)
	if err != nil {
		return r, err
	}
	r.Number, r.Decimals, r.Text = c.Number, c.Decimals, c.text()
	if c.State == record.Interval || c.Half > 0 {
		r.Low, r.High = c.Low, c.High
	}
	return r, nil
}

// exact gives v as it was written, with d digits after the point. A fraction
// of powers of two is exact as it is stored.
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

// round rounds r to d places after the point, half away from zero; a negative
// d rounds to tens, hundreds and so on.
func round(r *big.Rat, d int) float64 {
	if d < 0 {
		p := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(-d)), nil))
		whole, _ := new(big.Rat).SetString(new(big.Rat).Quo(r, p).FloatString(0))
		v, _ := whole.Mul(whole, p).Float64()
		return v
	}
	v, _ := strconv.ParseFloat(r.FloatString(d), 64)
	return v
}
