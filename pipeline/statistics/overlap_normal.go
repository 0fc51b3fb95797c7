package statistics

import "math"

// NormalGroup is a group of values as a normal distribution: how many there are,
// their mean and their standard deviation (n − 1).
type NormalGroup struct {
	N          int
	Mean, SD   float64
	sumSquares float64
}

// Add takes a value in (Welford 1962, Technometrics 4: 419–420).
func (g *NormalGroup) Add(v float64) {
	g.N++
	d := v - g.Mean
	g.Mean += d / float64(g.N)
	g.sumSquares += d * (v - g.Mean)
	g.SD = 0
	if g.N > 1 {
		g.SD = math.Sqrt(g.sumSquares / float64(g.N-1))
	}
}

// Share is a share with its 95 % interval.
type Share struct{ Value, Low, High float64 }

// logDensity is the log density at x, with the variance that the estimates of
// mean and standard deviation give it (the delta method: var(mean) = s²/n,
// var(ln s) = 1/(2(n − 1))).
func (g NormalGroup) logDensity(x float64) (log, variance float64) {
	z := (x - g.Mean) / g.SD
	log = -z*z/2 - math.Log(g.SD)
	variance = z*z/float64(g.N) + (z*z-1)*(z*z-1)/(2*float64(g.N-1))
	return log, variance
}

// ProbabilityOfFirst is the probability that a value is of the first group and not
// of the second, either being as likely beforehand: that of quadratic discriminant
// analysis of one variable (Venables and Ripley 2002, Modern Applied Statistics
// with S, 12.1). Its interval is what the sizes of the groups leave open, on the logit
// scale. Both groups need two values and a scatter, else it is NaN.
func ProbabilityOfFirst(first, second NormalGroup, x float64) Share {
	if !(first.SD > 0) || !(second.SD > 0) {
		return Share{math.NaN(), math.NaN(), math.NaN()}
	}
	a, va := first.logDensity(x)
	b, vb := second.logDensity(x)
	w := 1.959963985 * math.Sqrt(va+vb)
	return Share{logistic(a - b), logistic(a - b - w), logistic(a - b + w)}
}

func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// Overlap is the area that the densities of two groups have in common (Inman and
// Bradley 1989, Communications in Statistics 18: 3851–3874): 0 of groups that are
// told apart, 1 of equal ones. Its interval is by the delta method on the logit
// scale. NaN as ProbabilityOfFirst.
func Overlap(first, second NormalGroup) Share {
	if !(first.SD > 0) || !(second.SD > 0) {
		return Share{math.NaN(), math.NaN(), math.NaN()}
	}
	value := common(first, second)
	if value <= 0 || value >= 1 {
		return Share{value, value, value}
	}
	logit := math.Log(value / (1 - value))
	variance := 0.0
	for i, g := range []NormalGroup{first, second} {
		moved := func(mean, logSD float64) float64 {
			pair := [2]NormalGroup{first, second}
			pair[i].Mean += mean
			pair[i].SD *= math.Exp(logSD)
			v := common(pair[0], pair[1])
			return math.Log(v / (1 - v))
		}
		const step = 1e-4
		byMean := (moved(step*g.SD, 0) - moved(-step*g.SD, 0)) / (2 * step * g.SD)
		bySD := (moved(0, step) - moved(0, -step)) / (2 * step)
		variance += byMean*byMean*g.SD*g.SD/float64(g.N) + bySD*bySD/(2*float64(g.N-1))
	}
	if math.IsNaN(variance) || math.IsInf(variance, 0) {
		return Share{value, 0, 1}
	}
	w := 1.959963985 * math.Sqrt(variance)
	return Share{value, logistic(logit - w), logistic(logit + w)}
}

// common is the area under the lower of two normal densities.
func common(a, b NormalGroup) float64 {
	below := func(g NormalGroup, x float64) float64 { return math.Erfc((g.Mean-x)/(g.SD*math.Sqrt2)) / 2 }
	if math.Abs(a.SD/b.SD-1) < 1e-9 {
		return math.Erfc(math.Abs(a.Mean-b.Mean) / (2 * math.Sqrt2 * a.SD))
	}
	// The densities cross where a quadratic is 0.
	p, q := 1/(a.SD*a.SD), 1/(b.SD*b.SD)
	k2, k1, k0 := p-q, -2*(a.Mean*p-b.Mean*q), a.Mean*a.Mean*p-b.Mean*b.Mean*q+2*math.Log(a.SD/b.SD)
	root := math.Sqrt(max(0, k1*k1-4*k2*k0))
	x1, x2 := (-k1-root)/(2*k2), (-k1+root)/(2*k2)
	x1, x2 = min(x1, x2), max(x1, x2)
	narrow, wide := a, b
	if a.SD > b.SD {
		narrow, wide = b, a
	}
	// Between the crossings the wider density is the lower one.
	return below(narrow, x1) + (below(wide, x2) - below(wide, x1)) + 1 - below(narrow, x2)
}
