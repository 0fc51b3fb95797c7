package screen

import "math"

// Scales that are expected before any animal is seen, on the log scale (common
// practice: limbs scatter by about 5 % about their line, masses by 12 %), and
// the number of animals that this expectation weighs as much as.
const (
	lengthScatter  = 0.05
	massScatter    = 0.12
	scatterWeight  = 6
	firmlyMeasured = 30 // animals from which a taxon's scatter counts for others
)

// steady draws the scale of every line towards that of the same measurement in
// the survey's other taxa, weighed by numbers as variances with an inverse
// chi-square prior are (Gelman et al., Bayesian Data Analysis, 2.6). It keeps
// a line through eight animals from seeming exact.
func steady(shapes []shape, s Settings) {
	expected := scatters(shapes)
	for _, sh := range shapes {
		m := sh.model
		for j := 1; j < len(m.names); j++ {
			l := &m.lines[j]
			if l.slope == 0 {
				continue // its scale is that of animals of any size
			}
			prior, ok := expected[m.names[j]]
			if !ok {
				prior = lengthScatter
				if isMass(m.names[j]) {
					prior = massScatter
				}
			}
			nu := 0.8 * float64(max(0, l.n-1-len(l.offset)))
			draw := func(scale float64) float64 {
				return math.Sqrt((nu*scale*scale + scatterWeight*prior*prior) / (nu + scatterWeight))
			}
			l.scale, l.pooled = draw(l.scale), draw(l.pooled)
			l.widened = widening(nu+scatterWeight/2, s.TailFreedom)
		}
	}
}

// scatters returns the mean scale of each measurement's lines, by variance and
// weighed by animals, over taxa with enough of them.
func scatters(shapes []shape) map[string]float64 {
	sum, weight := map[string]float64{}, map[string]float64{}
	for _, sh := range shapes {
		for j := 1; j < len(sh.model.names); j++ {
			l := &sh.model.lines[j]
			if l.n < firmlyMeasured || l.slope == 0 {
				continue
			}
			name := sh.model.names[j]
			sum[name] += float64(l.n) * l.scale * l.scale
			weight[name] += float64(l.n)
		}
	}
	out := map[string]float64{}
	for name, w := range weight {
		out[name] = math.Sqrt(sum[name] / w)
	}
	return out
}

func isMass(measurement string) bool { return measurement == bodyMass || measurement == grossMass }
