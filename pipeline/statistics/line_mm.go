package statistics

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// RobustLine is a straight line fitted so that up to half of the points may be
// anything.
type RobustLine struct {
	Line
	Scale   float64   // robust standard deviation about the line; 0 for an exact fit
	Weights []float64 // of each point, 0 to 1, in the order given
	N       int
}

// LineSearch says how thoroughly a line is searched for: how many pairs of
// points to start from, how many of the best to follow to the end, and to what
// change in standard deviations.
type LineSearch struct {
	Starts, Kept int
	Tolerance    float64
}

// quickly is a search for data that are many and mostly good: enough pairs of points
// for the share of slips that a field book holds, and not to the last digit.
var quickly = LineSearch{Starts: 60, Kept: 2, Tolerance: 1e-6}

// QuickMMLine is MMLine by a search that takes little time.
func QuickMMLine(x, y []float64) (RobustLine, error) { return MMLineBy(x, y, quickly) }

// MMLineBy is MMLine with a search of the caller's choice.
func MMLineBy(x, y []float64, s LineSearch) (RobustLine, error) {
	if len(x) != len(y) {
		return RobustLine{}, errUnequal
	}
	n := len(x)
	if n < 4 {
		return RobustLine{}, ErrTooFew
	}
	order, xs, ys := sortedPairs(x, y)
	first, err := theilSen(xs, ys, 200*s.Starts)
	if err != nil {
		return RobustLine{}, err
	}
	f := lineFit{LineSearch: s, x: xs, y: ys, r: make([]float64, n), w: make([]float64, n), sizes: make([]float64, n)}
	line, scale := f.sEstimate(first)
	line = f.mEstimate(line, scale)
	out := RobustLine{Line: line, Scale: scale, N: n, Weights: make([]float64, n)}
	for i, at := range order {
		out.Weights[at] = f.w[i]
	}
	return out, nil
}

// lineFit holds the points and the working memory of one fit.
type lineFit struct {
	LineSearch
	x, y, r, w []float64
	sizes      []float64 // for the median size of residuals
	about      bool      // losses may differ in the last digits
}

type scaledLine struct {
	line  Line
	scale float64
}

// sEstimate returns the line of least M-scale that it finds, and that scale. Lines
// are chosen by about their scales, and followed to the end by exact ones.
func (f *lineFit) sEstimate(first Line) (Line, float64) {
	kept := max(f.Kept, 1)
	var best []scaledLine
	try := func(l Line) {
		worst := math.Inf(1)
		if len(best) == kept {
			worst = best[kept-1].scale
		}
		if !f.promising(l, worst) {
			return
		}
		_, s := f.refine(l, 0, worst, 1, 1e-3)
		if s >= worst {
			return
		}
		best = append(best, scaledLine{l, s})
		slices.SortStableFunc(best, func(a, b scaledLine) int { return cmp.Compare(a.scale, b.scale) })
		best = best[:min(len(best), kept)]
	}
	f.about = true
	try(first)
	f.eachPair(f.Starts, func(i, j int) {
		b := (f.y[j] - f.y[i]) / (f.x[j] - f.x[i])
		try(Line{Intercept: f.y[i] - b*f.x[i], Slope: b})
	})
	f.about = false
	win := scaledLine{scale: math.Inf(1)}
	for _, b := range best {
		l, s := f.refine(b.line, 0, math.Inf(1), 1, 1e-3)
		l, s = f.refine(l, s, math.Inf(1), 500, f.Tolerance)
		if s < win.scale {
			win = scaledLine{l, s}
		}
	}
	return win.line, win.scale
}

// promising reports whether one step from a line could have a smaller scale
// than s: whether the losses at s add up to less, with some allowance for the step.
// Losses only add up, so that most lines are given up half way.
func (f *lineFit) promising(l Line, s float64) bool {
	s *= 1.5
	most := halfRho * float64(len(f.x)-2)
	sum := 0.0
	for i, x := range f.x {
		sum += bisquareRho((f.y[i]-l.At(x))/s, bisquareS)
		if i%64 == 63 && sum >= most {
			return false
		}
	}
	return sum < most
}

// eachPair calls do with every pair of points of different x, or with starts
// of them where there are more.
func (f *lineFit) eachPair(starts int, do func(i, j int)) {
	n := len(f.x)
	if n*(n-1)/2 <= starts {
		for i := range n {
			for j := i + 1; j < n; j++ {
				if f.x[i] != f.x[j] {
					do(i, j)
				}
			}
		}
		return
	}
	draw := rand.New(rand.NewPCG(1987, 2006))
	for range starts {
		if i, j := twoOf(draw, n); f.x[i] != f.x[j] {
			do(min(i, j), max(i, j))
		}
	}
}

// refine takes steps of reweighting from a line towards a smaller M-scale,
// until the line moves by less than tol. It gives up a line whose scale is above a
// limit after a step.
func (f *lineFit) refine(l Line, s, limit float64, steps int, tol float64) (Line, float64) {
	f.residuals(l)
	s = f.mScale(s, tol)
	for range steps {
		if s == 0 {
			return l, 0
		}
		f.weigh(s, bisquareS)
		next, ok := f.weighted()
		if !ok {
			return l, s
		}
		f.residuals(next)
		if f.meanRho(1.01*limit) > halfRho {
			return next, limit
		}
		t := f.mScale(s, tol)
		still := f.moved(l, next) <= tol*s
		l, s = next, t
		if still {
			break
		}
	}
	return l, s
}

// mEstimate reweights at a fixed scale until the line stands still, and leaves
// the last weights in f.w.
func (f *lineFit) mEstimate(l Line, s float64) Line {
	f.residuals(l)
	if s == 0 {
		for i, r := range f.r {
			f.w[i] = 0
			if r == 0 {
				f.w[i] = 1
			}
		}
		return l
	}
	for range 500 {
		f.weigh(s, bisquareM)
		next, ok := f.weighted()
		if !ok {
			return l
		}
		still := f.moved(l, next) <= f.Tolerance*s
		l = next
		f.residuals(l)
		if still {
			break
		}
	}
	f.weigh(s, bisquareM)
	return l
}

func (f *lineFit) residuals(l Line) {
	for i := range f.x {
		f.r[i] = f.y[i] - l.At(f.x[i])
	}
}

func (f *lineFit) weigh(s, c float64) {
	for i, r := range f.r {
		f.w[i] = bisquareWeight(r/s, c)
	}
}

// moved returns the largest difference of two lines over the points.
func (f *lineFit) moved(a, b Line) float64 {
	first, last := f.x[0], f.x[len(f.x)-1]
	return max(math.Abs(a.At(first)-b.At(first)), math.Abs(a.At(last)-b.At(last)))
}

// weighted returns the least squares line under f.w.
func (f *lineFit) weighted() (Line, bool) {
	var sw, sx, sy float64
	for i, w := range f.w {
		sw += w
		sx += w * f.x[i]
		sy += w * f.y[i]
	}
	mx, my := sx/sw, sy/sw
	var sxx, sxy float64
	for i, w := range f.w {
		dx := f.x[i] - mx
		sxx += w * dx * dx
		sxy += w * dx * (f.y[i] - my)
	}
	if !(sxx > 0) {
		return Line{}, false
	}
	b := sxy / sxx
	return Line{Intercept: my - b*mx, Slope: b}, true
}
