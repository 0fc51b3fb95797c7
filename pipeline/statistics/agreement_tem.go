package statistics

import (
	"errors"
	"fmt"
	"math"
)

// ErrTooFewReadings is wrapped by the errors of the agreement functions when a
// table holds too little to compute from.
var ErrTooFewReadings = errors.New("too few readings")

// TechnicalError is the technical error of measurement of one measurement, in
// the unit of the readings, and what follows from it.
type TechnicalError struct {
	Subjects int     // subjects read at least twice
	Readings int     // readings of those subjects
	Freedom  int     // degrees of freedom: readings less subjects
	Mean     float64 // of the readings
	TEM      float64
	Low      float64 // interval of the TEM at the level asked for
	High     float64
	Relative float64 // TEM as a percentage of the mean; NaN for a mean of 0
	SD       float64 // of all readings, subjects and error together
	// Reliability is R = 1 - TEM²/SD²: the share of the variance that isn't
	// error. NaN when SD is 0; below 0 when error swamps the subjects.
	Reliability float64
	// Repeatability is 1.96·√2·TEM: two readings of one subject differ by
	// less than this in 95 of 100 cases.
	Repeatability float64
}

// MeasurementError computes the technical error of measurement from repeated
// readings: one row a subject, one value a reading; rows may differ in length.
// Rows by one observer give the error within that observer; rows with one
// value from each observer give the error between observers.
//
// The TEM is the square root of the pooled variance within subjects, which for
// two readings is √(Σd²/2n) (Ulijaszek and Kerr 1999, British Journal of
// Nutrition 82:165–177). The interval is that of a pooled standard deviation,
// by the chi-square distribution. The repeatability limit is that of Bland
// and Altman (1986, Lancet i:307–310). Not-a-numbers are left out, and with
// them rows that keep fewer than two readings.
func MeasurementError(rows [][]float64, level float64) (TechnicalError, error) {
	var t TechnicalError
	if err := checkLevel(level); err != nil {
		return t, err
	}
	var kept []float64
	var within float64
	for _, row := range rows {
		row = numbersOf(row)
		if len(row) < 2 {
			continue
		}
		t.Subjects++
		t.Freedom += len(row) - 1
		within += squaresAbout(row, Mean(row))
		kept = append(kept, row...)
	}
	t.Readings = len(kept)
	if t.Subjects < 2 {
		return t, fmt.Errorf("%w: %d subjects read twice, want 2 or more", ErrTooFewReadings, t.Subjects)
	}
	df := float64(t.Freedom)
	t.Mean = Mean(kept)
	t.TEM = math.Sqrt(within / df)
	t.Low = math.Sqrt(within / ChiSquareQuantile(1-(1-level)/2, df))
	t.High = math.Sqrt(within / ChiSquareQuantile((1-level)/2, df))
	t.Relative = math.NaN()
	if t.Mean != 0 {
		t.Relative = 100 * t.TEM / math.Abs(t.Mean)
	}
	t.SD = math.Sqrt(squaresAbout(kept, t.Mean) / float64(t.Readings-1))
	t.Reliability = math.NaN()
	if t.SD > 0 {
		t.Reliability = 1 - t.TEM*t.TEM/(t.SD*t.SD)
	}
	t.Repeatability = 1.96 * math.Sqrt2 * t.TEM
	return t, nil
}

func checkLevel(level float64) error {
	if !(level > 0 && level < 1) {
		return fmt.Errorf("confidence level %v: want more than 0 and less than 1", level)
	}
	return nil
}

// numbersOf returns the finite values of a row, without touching it.
func numbersOf(row []float64) []float64 {
	out := make([]float64, 0, len(row))
	for _, v := range row {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			out = append(out, v)
		}
	}
	return out
}

func squaresAbout(x []float64, centre float64) float64 {
	var s float64
	for _, v := range x {
		s += (v - centre) * (v - centre)
	}
	return s
}
