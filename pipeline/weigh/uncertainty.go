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
	graduation  float64
	capacity    float64 // 0 if unknown
	calibration float64 // expanded uncertainty of the calibration (k = 2), 0 if unknown
	name        string  // of the instrument; empty if the digits were used
}

// scaleFor finds the scale of a reading: its own instrument, else the scale of
// the weighing. Without a known graduation it is the step in which the observer
// writes the column, or where that is not known either the last place that was
// written.
func (s *Settings) scaleFor(r *record.Reading, w *record.Weighing) scaleOf {
	var g scaleOf
	i := s.instrument(r.Instrument)
	if i == nil {
		i = s.instrument(w.Scale)
	}
	if grams, known := gramsOf(i); known {
		g.capacity = i.Capacity * grams
		if i.Graduation > 0 {
			g.graduation, g.calibration, g.name = i.Graduation*grams, i.Calibration*grams, i.Name
			return g
		}
	}
	if g.graduation = r.Resolution; g.graduation == 0 {
		g.graduation = lastPlace(r)
	}
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

// lastPlace returns the step of the last place written, in grams.
func lastPlace(r *record.Reading) float64 {
	if r.WrittenUnit != "" && r.WrittenUnit != r.Unit && r.Verbatim != "" {
		q := quantity.Parse(r.Verbatim, quantity.Options{Unit: r.WrittenUnit})
		if f, ok := quantity.Factor(q.Unit, "g"); ok && q.Step > 0 {
			grams, _ := f.Float64()
			return q.Step * grams
		}
	}
	return math.Pow10(-r.Decimals)
}

// standard returns the standard uncertainty of one reading in grams: half a
// graduation as the half width of a rectangular distribution, u = a/√3
// (JCGM 100:2008, 4.3.7). A ± that the writer gave counts as such a half width
// if it is wider.
func standard(r *record.Reading, g scaleOf) float64 {
	a := quantity.HalfWidth(g.graduation)
	if r.State != record.Interval && r.High() > r.Low() {
		a = math.Max(a, (r.High()-r.Low())/2)
	}
	return a / math.Sqrt(3)
}

func significant(v float64, digits int) float64 {
	var buf [40]byte
	w, err := strconv.ParseFloat(string(strconv.AppendFloat(buf[:0], v, 'e', digits-1, 64)), 64)
	if err != nil {
		return v
	}
	return w
}

// difference returns a − b in exact decimal arithmetic, and its text with so many
// places after the point, half away from zero; negative places are tens and
// hundreds.
func difference(a, b float64, places int) (float64, string) {
	if v, text, ok := plainDifference(a, b, places); ok {
		return v, text
	}
	return exactDifference(a, b, places)
}

func exactDifference(a, b float64, places int) (float64, string) {
	x := decimal(a)
	x.Sub(x, decimal(b))
	v, _ := x.Float64()
	return v, quantity.Fixed(x, places)
}

// decimal returns the shortest decimal number that is stored as v.
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
