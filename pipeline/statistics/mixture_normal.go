package statistics

import (
	"cmp"
	"math"
	"slices"

	"spadefoot/pipeline/record/sorting"
)

// NormalClass is one class of a mixture of normal distributions.
type NormalClass struct {
	Share float64 // of all values
	Mean  float64
	Scale float64 // standard deviation
}

// NormalMixture is a sample as a mixture of normal distributions.
type NormalMixture struct {
	Classes       []NormalClass // by mean
	N             int
	LogLikelihood float64
	BIC           float64 // Schwarz 1978, Ann. Stat. 6: 461–464; the smaller the better
}

// MixtureOf parts a sample into so many normal classes by expectation and
// maximisation (Dempster, Laird and Rubin 1977, J. R. Stat. Soc. B 39: 1–38), from
// values cut into as many equal runs, and where that is better from runs cut at
// the widest gaps. No class gets narrower than least. It needs five values for each
// class. What cannot come below a criterion any more is not carried to its end: each
// round gains less than the one before, save where a start leaves a saddle.
func MixtureOf(sample *Sample, classes int, least, below float64) (NormalMixture, error) {
	if classes < 1 || sample.Len() < 5*classes {
		return NormalMixture{}, ErrTooFew
	}
	values := sample.sorted()
	cost := float64(3*classes-1) * math.Log(float64(sample.Len()))
	enough := (cost - below) / 2 // log likelihood
	best := NormalMixture{LogLikelihood: math.Inf(-1)}
	for _, cuts := range [][]int{evenCuts(values, sample.Len(), classes), gapCuts(values, classes)} {
		m := mixtureFrom(values, cuts, least, enough)
		if m.LogLikelihood > best.LogLikelihood {
			best = m
		}
	}
	if math.IsInf(best.LogLikelihood, -1) {
		return best, ErrTooFew
	}
	best.N = sample.Len()
	best.BIC = cost - 2*best.LogLikelihood
	sorting.Func(best.Classes, func(a, b NormalClass) int { return cmp.Compare(a.Mean, b.Mean) })
	return best, nil
}

// evenCuts are the ends of runs of equal numbers of values.
func evenCuts(values []counted, n, classes int) (cuts []int) {
	seen := 0
	for i, v := range values {
		if seen += v.times; seen*classes >= n*(len(cuts)+1) && len(cuts) < classes-1 {
			cuts = append(cuts, i+1)
		}
	}
	return append(cuts, len(values))
}

// gapCuts are the ends of runs that the widest gaps part.
func gapCuts(values []counted, classes int) []int {
	at := make([]int, 0, len(values))
	for i := 1; i < len(values); i++ {
		at = append(at, i)
	}
	sorting.StableFunc(at, func(a, b int) int {
		return cmp.Compare(values[b].value-values[b-1].value, values[a].value-values[a-1].value)
	})
	at = at[:min(classes-1, len(at))]
	slices.Sort(at)
	return append(at, len(values))
}

// maxRounds bounds the rounds of expectation and maximisation.
const maxRounds = 2000

// mixtureFrom runs to the end from the classes that cuts make, unless all rounds
// that are left would not reach enough if each gained as much as the last.
func mixtureFrom(values []counted, cuts []int, least, enough float64) (m NormalMixture) {
	k := len(cuts)
	parts := make([][]float64, len(values)) // what of each value each class has
	from := 0
	for c, to := range cuts {
		for i := from; i < to; i++ {
			parts[i] = make([]float64, k)
			parts[i][c] = 1
		}
		from = to
	}
	m.Classes = make([]NormalClass, k)
	last := math.Inf(-1)
	for round := range maxRounds {
		m.maximise(values, parts, least)
		m.LogLikelihood = m.expect(values, parts)
		gain := m.LogLikelihood - last
		if !(gain > 1e-10*math.Abs(m.LogLikelihood)) || m.LogLikelihood+gain*float64(maxRounds-round) < enough {
			break
		}
		last = m.LogLikelihood
	}
	return m
}

func (m *NormalMixture) maximise(values []counted, parts [][]float64, least float64) {
	for c := range m.Classes {
		var n, all, sum, squares float64
		for i, v := range values {
			w := parts[i][c] * float64(v.times)
			n, all, sum = n+w, all+float64(v.times), sum+w*v.value
		}
		mean := sum / n
		for i, v := range values {
			squares += parts[i][c] * float64(v.times) * (v.value - mean) * (v.value - mean)
		}
		m.Classes[c] = NormalClass{Share: n / all, Mean: mean, Scale: max(least, math.Sqrt(squares/n))}
	}
}

// expect parts the values among the classes and returns the log likelihood.
func (m *NormalMixture) expect(values []counted, parts [][]float64) (log float64) {
	for i, v := range values {
		sum := 0.0
		for c := range m.Classes {
			parts[i][c] = m.Classes[c].density(v.value)
			sum += parts[i][c]
		}
		if !(sum > 0) {
			return math.Inf(-1)
		}
		for c := range parts[i] {
			parts[i][c] /= sum
		}
		log += float64(v.times) * math.Log(sum)
	}
	return log
}

// density is that of the class times its share.
func (c NormalClass) density(x float64) float64 {
	z := (x - c.Mean) / c.Scale
	return c.Share * math.Exp(-z*z/2) / (c.Scale * math.Sqrt(2*math.Pi))
}

// Between returns the value between the means of two classes at which either is
// equally likely, halfway where there is none.
func Between(low, high NormalClass) float64 {
	a, b := low.Mean, high.Mean
	if !(low.density(a) > high.density(a)) || !(low.density(b) < high.density(b)) {
		return (a + b) / 2
	}
	for range 60 {
		if x := (a + b) / 2; low.density(x) > high.density(x) {
			a = x
		} else {
			b = x
		}
	}
	return (a + b) / 2
}
