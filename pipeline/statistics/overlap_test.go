package statistics

import (
	"math"
	"testing"
)

func groupOf(values []float64) (g NormalGroup) {
	for _, v := range values {
		g.Add(v)
	}
	return g
}

// Posteriors of MASS's qda, the overlap by R's integrate, and intervals by a
// parametric bootstrap of 20,000 draws, on the crabs of MASS.
func TestOverlapAgainstR(t *testing.T) {
	var ref struct {
		Cases []struct {
			Female, Male, At, Posterior, Low, High, Overlap []float64
		}
	}
	readJSON(t, "overlap.json", &ref)
	if len(ref.Cases) < 3 {
		t.Fatal("no cases")
	}
	for _, c := range ref.Cases {
		female, male := groupOf(c.Female), groupOf(c.Male)
		for i, x := range c.At {
			p := ProbabilityOfFirst(female, male, x)
			agree(t, "posterior", p.Value, c.Posterior[i], 1e-9)
			if math.Abs(p.Low-c.Low[i]) > 0.05 || math.Abs(p.High-c.High[i]) > 0.05 {
				t.Errorf("at %.3f: %+v, bootstrap %.3f to %.3f", x, p, c.Low[i], c.High[i])
			}
			agree(t, "posterior of the other", ProbabilityOfFirst(male, female, x).Value, 1-p.Value, 1e-9)
		}
		o := Overlap(female, male)
		agree(t, "overlap", o.Value, c.Overlap[0], 1e-7)
		near := math.Abs(o.Low-c.Overlap[1]) <= 0.06 && math.Abs(o.High-c.Overlap[2]) <= 0.06
		around := o.Value > 0.9 && o.Low < c.Overlap[1] && o.High > c.Overlap[2] // equal groups are at the end of the scale
		if !near && !around {
			t.Errorf("%+v, bootstrap %v", o, c.Overlap)
		}
	}
}

func TestOverlapAtTheEnds(t *testing.T) {
	same := groupOf([]float64{1, 2, 3, 4})
	agree(t, "equal groups", Overlap(same, same).Value, 1, 1e-12)
	far := groupOf([]float64{1001, 1002, 1003, 1004})
	agree(t, "far groups", Overlap(same, far).Value, 0, 1e-12)
	if !math.IsNaN(Overlap(same, groupOf([]float64{5})).Value) || !math.IsNaN(ProbabilityOfFirst(groupOf(nil), same, 1).Value) {
		t.Error("a group of one has a scatter")
	}
}
