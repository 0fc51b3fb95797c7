package screen

import (
	"math"

	"spadefoot/pipeline/statistics"
)

// maxDims is the number of measurements that cuts are tabulated for.
const maxDims = 40

// cut is a pair of thresholds: from suspect on a capture is examined closely, and sure
// is rarely reached in a clean survey of this size.
type cut struct{ suspect, sure float64 }

// cuts are the thresholds by number of measurements of a capture.
type cuts struct {
	distance [maxDims + 1]cut // of the squared distance
	single   [maxDims + 1]cut // of the largest of so many standardised residuals
	surely   float64          // the chance behind sure, per capture
}

// cutsFor computes the thresholds. The chance per capture behind sure is
// Šidák's 1 − SurveyQuantile^(1/captures); that behind suspect is CaptureRate, or
// the same where the survey is so small that it is larger. Distances follow
// the scaled F that stands for chi-square when tails are long.
func cutsFor(captures int, s Settings) cuts {
	sure := -math.Expm1(math.Log(s.SurveyQuantile) / float64(max(captures, 1)))
	suspect := max(s.CaptureRate, sure)
	c := cuts{surely: sure}
	for k := 1; k <= maxDims; k++ {
		c.distance[k] = cut{distanceCut(suspect/2, k, s.TailFreedom), distanceCut(sure/2, k, s.TailFreedom)}
		c.single[k] = cut{singleCut(suspect/2, k, s.TailFreedom), singleCut(sure/2, k, s.TailFreedom)}
	}
	return c
}

func distanceCut(tail float64, k int, nu float64) float64 {
	return float64(k) * statistics.FQuantile(1-tail, float64(k), nu)
}

func singleCut(tail float64, k int, nu float64) float64 {
	return statistics.StudentQuantile(1-tail/float64(2*k), nu)
}
