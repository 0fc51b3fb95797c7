package statistics

import (
	"fmt"
	"math"
)

// Intraclass is one form of the intraclass correlation with its F test and
// interval.
type Intraclass struct {
	Form      string // "1,1", "2,1", "3,1", "1,k", "2,k" or "3,k"
	Value     float64
	Low, High float64
	F         float64 // against a correlation of 0
	DF1, DF2  float64
	P         float64
}

// Intraclasses computes the six intraclass correlations of Shrout and Fleiss
// (1979, Psychological Bulletin 86:420–428) from a table with one row a
// subject and one column an observer, in the order 1,1 2,1 3,1 1,k 2,k 3,k.
//
// 1: each subject was read by other observers. 2: the observers stand for
// any observers, so that a shift between them counts as error. 3: these
// observers only, a shift does not count. The second figure is 1 for a single
// reading and k for the mean over all observers.
//
// Rows with a not-a-number are left out. It fails on rows of unequal length,
// fewer than two columns, or fewer than two whole rows. Where nothing varies
// the values are NaN.
func Intraclasses(table [][]float64, level float64) ([]Intraclass, error) {
	if err := checkLevel(level); err != nil {
		return nil, err
	}
	whole, k, err := wholeRows(table)
	if err != nil {
		return nil, err
	}
	a := analyse(whole, k)
	tail := 1 - (1-level)/2
	n, kk := a.n, a.k
	f1, f3 := a.subjects/a.within, a.subjects/a.error
	within, rest := n*(kk-1), (n-1)*(kk-1)

	one := fromRatio("1,1", f1, n-1, within, kk, tail)
	three := fromRatio("3,1", f3, n-1, rest, kk, tail)
	two := Intraclass{Form: "2,1", F: f3, DF1: n - 1, DF2: rest, P: three.P}
	two.Value = (a.subjects - a.error) / (a.subjects + (kk-1)*a.error + kk*(a.observers-a.error)/n)
	two.Low, two.High = a.intervalOfTwo(two.Value, tail)

	out := []Intraclass{one, two, three}
	for i, form := range []string{"1,k", "2,k", "3,k"} {
		m := out[i]
		m.Form = form
		m.Value, m.Low, m.High = stepUp(m.Value, kk), stepUp(m.Low, kk), stepUp(m.High, kk)
		out = append(out, m)
	}
	// The mean over k has its value straight from the mean squares, which
	// holds also where the single form is -1/(k-1).
	out[3].Value = (a.subjects - a.within) / a.subjects
	out[4].Value = (a.subjects - a.error) / (a.subjects + (a.observers-a.error)/n)
	out[5].Value = (a.subjects - a.error) / a.subjects
	return out, nil
}

// fromRatio returns a one-way or fixed form from its F ratio.
func fromRatio(form string, f, df1, df2, k, tail float64) Intraclass {
	v := Intraclass{Form: form, F: f, DF1: df1, DF2: df2, P: math.NaN()}
	single := func(f float64) float64 {
		if math.IsInf(f, 1) {
			return 1
		}
		return (f - 1) / (f + k - 1)
	}
	v.Value = single(f)
	if !math.IsNaN(f) {
		v.P = FSurvival(f, df1, df2)
	}
	v.Low = single(f / FQuantile(tail, df1, df2))
	v.High = single(f * FQuantile(tail, df2, df1))
	return v
}

// intervalOfTwo is the interval of form 2,1, with the degrees of freedom of
// Satterthwaite as Shrout and Fleiss give them.
func (a anova) intervalOfTwo(icc, tail float64) (low, high float64) {
	n, k, j := a.n, a.k, a.observers/a.error
	q := n*(1+(k-1)*icc) - k*icc
	df := (k - 1) * (n - 1) * math.Pow(k*icc*j+q, 2) / ((n-1)*k*k*icc*icc*j*j + q*q)
	if !(df > 0) || math.IsInf(df, 0) {
		return math.NaN(), math.NaN()
	}
	up := FQuantile(tail, n-1, df)
	down := FQuantile(tail, df, n-1)
	spread := k*a.observers + (k*n-k-n)*a.error
	low = n * (a.subjects - up*a.error) / (up*spread + n*a.subjects)
	high = n * (down*a.subjects - a.error) / (spread + n*down*a.subjects)
	return low, high
}

// stepUp is the Spearman–Brown formula: the reliability of a mean of k.
func stepUp(single, k float64) float64 { return k * single / (1 + (k-1)*single) }

// anova holds the mean squares of a two-way table with one value a cell.
type anova struct {
	n, k                               float64
	subjects, within, observers, error float64
}

func analyse(table [][]float64, k int) anova {
	n := len(table)
	columns := make([]float64, k)
	rowMeans := make([]float64, n)
	for i, row := range table {
		rowMeans[i] = Mean(row)
		for j, v := range row {
			columns[j] += v / float64(n)
		}
	}
	grand := Mean(rowMeans)
	var within, rest float64
	for i, row := range table {
		within += squaresAbout(row, rowMeans[i])
		for j, v := range row {
			r := v - rowMeans[i] - columns[j] + grand
			rest += r * r
		}
	}
	a := anova{n: float64(n), k: float64(k)}
	a.subjects = a.k * squaresAbout(rowMeans, grand) / (a.n - 1)
	a.observers = a.n * squaresAbout(columns, grand) / (a.k - 1)
	a.within = within / (a.n * (a.k - 1))
	a.error = rest / ((a.n - 1) * (a.k - 1))
	return a
}

func wholeRows(table [][]float64) (whole [][]float64, k int, err error) {
	for i, row := range table {
		if i == 0 {
			k = len(row)
		}
		if len(row) != k {
			return nil, 0, fmt.Errorf("row %d has %d values, the first has %d", i+1, len(row), k)
		}
		if len(numbersOf(row)) == k {
			whole = append(whole, row)
		}
	}
	if k < 2 || len(whole) < 2 {
		return nil, 0, fmt.Errorf("%w: %d whole rows of %d, want 2 or more of 2 or more", ErrTooFewReadings, len(whole), k)
	}
	return whole, k, nil
}
