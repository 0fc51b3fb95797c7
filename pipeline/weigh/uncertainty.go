package weigh

import (
	"math"
	"math/big"
	"strconv"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// coverage is the coverage factor of the accuracy that goes with a mass.
const coverage = 2

// scaleOf is what is known of how finely one reading was taken, in grams.
type scaleOf struct {
	graduation float64
	capacity   float64 // 0 if unknown
	name       string  // of the instrument; empty if the digits were used
}

// said puts the source of the graduation in words.
func (g scaleOf) said() string {
	return string(g.appendSaid(nil))
}

func (g scaleOf) appendSaid(b []byte) []byte {
	b = appendPlain(b, g.graduation)
	if g.name == "" {
		return append(b, " g from the digits written"...)
	}
	return append(append(b, " g of "...), g.name...)
}

// scaleFor finds the scale of a reading: its own instrument, else the scale of
// the weighing. Without a known graduation it is the step of the last place
// that was written, in the unit it was written in.
func (s *Settings) scaleFor(r *record.Reading, w *record.Weighing) scaleOf {
	var g scaleOf
	i := s.instrument(r.Instrument)
	if i == nil {
		i = s.instrument(w.Scale)
	}
	if grams, known := gramsOf(i); known {
		g.capacity = i.Capacity * grams
		if i.Graduation > 0 {
			g.graduation, g.name = i.Graduation*grams, i.Name
			return g
		}
	}
	g.graduation = writtenStep(r)
	return g
}

// gramsOf is what the instrument's unit is in grams.
func gramsOf(i *Instrument) (float64, bool) {
	switch {
	case i == nil:
		return 0, false
	case i.Unit == "g":
		return 1, true
	}
	f, known := quantity.Factor(i.Unit, "g")
	if !known {
		return 0, false
	}
	grams, _ := f.Float64()
	return grams, true
}

// writtenStep gives the step of the last place written, in grams.
func writtenStep(r *record.Reading) float64 {
	if r.WrittenUnit != "" && r.WrittenUnit != r.Unit && r.Verbatim != "" {
		q := quantity.Parse(r.Verbatim, quantity.Options{Unit: r.WrittenUnit})
		if f, ok := quantity.Factor(q.Unit, "g"); ok && q.Step > 0 {
			grams, _ := f.Float64()
			return q.Step * grams
		}
	}
	return math.Pow10(-r.Decimals)
}

// standard gives the standard uncertainty of one reading in grams: half a
// graduation as the half width of a rectangular distribution, u = a/√3
// (JCGM 100:2008, 4.3.7). A ± that the writer gave counts as such a half width
// if it is wider. A reading with a known expanded uncertainty has half of it.
func standard(r *record.Reading, g scaleOf) float64 {
	if r.Accuracy > 0 {
		return r.Accuracy / coverage
	}
	a := quantity.HalfWidth(g.graduation)
	if r.State != record.Interval && r.High > r.Low {
		a = math.Max(a, (r.High-r.Low)/2)
	}
	return a / math.Sqrt(3)
}

// expanded combines independent standard uncertainties in quadrature (5.1.2)
// and expands the sum, to two significant digits (7.2.6).
func expanded(us ...float64) float64 {
	sum := 0.0
	for _, u := range us {
		sum += u * u
	}
	return significant(coverage*math.Sqrt(sum), 2)
}

func significant(v float64, digits int) float64 {
	var room [40]byte
	w, err := strconv.ParseFloat(string(strconv.AppendFloat(room[:0], v, 'e', digits-1, 64)), 64)
	if err != nil {
		return v
	}
	return w
}

// places gives the digits after the point that show a graduation: 1 for 0.5
// and 0.1, 2 for 0.25, 0 for 2, -1 for 20. A graduation that came from another
// unit (2.835 g for 0.1 oz) is shown to the nearest power of ten.
func places(graduation float64) int {
	if graduation <= 0 {
		return 0
	}
	first := -int(math.Floor(math.Log10(graduation) + 1e-9)) // place of the leading digit
	for d := first; d <= first+1; d++ {
		scaled := graduation * math.Pow10(d)
		if math.Abs(scaled-math.Round(scaled)) < 1e-6*scaled {
			return d
		}
	}
	return -int(math.Round(math.Log10(graduation)))
}

// difference gives a − b rounded to a whole number of steps, half away from
// zero, in exact decimal arithmetic, and its text with the places of the step.
func difference(a, b, step float64) (float64, string) {
	if v, text, ok := plainDifference(a, b, step); ok {
		return v, text
	}
	return exactDifference(a, b, step)
}

func exactDifference(a, b, step float64) (float64, string) {
	x, g := decimal(a), decimal(step)
	x.Sub(x, decimal(b))
	if g.Sign() > 0 {
		steps, _ := new(big.Rat).SetString(x.Quo(x, g).FloatString(0))
		x.Mul(steps, g)
	}
	v, _ := x.Float64()
	return v, x.FloatString(max(places(step), 0))
}

// decimal gives the shortest decimal number that is stored as v.
func decimal(v float64) *big.Rat {
	if r, ok := new(big.Rat).SetString(strconv.FormatFloat(v, 'f', -1, 64)); ok {
		return r
	}
	return new(big.Rat)
}

func plain(v float64) string { return string(appendPlain(nil, v)) }

func appendPlain(b []byte, v float64) []byte {
	return strconv.AppendFloat(b, significant(v, 6), 'f', -1, 64)
}
