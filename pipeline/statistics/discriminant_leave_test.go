package statistics

import "fmt"

// LeftOut is what its own discriminant says training cases when each is
// placed by a fit without it.
type LeftOut struct {
	Placements []Placement // one a case, in the order given
	Confusion  [][]int     // [class given][class placed]
	Wrong      int
	Error      float64 // share placed in another class
}

// LeaveOneOut places each training case by the discriminant refitted without
// that case: mean, covariance and shrinkage are all made anew (Lachenbruch and
// Mickey 1968, Technometrics 10:1–11); only the priors stay. rows and class
// must be those of the fit; they may be in another order. It fails where a
// class has one case only.
func (d *Discriminant) LeaveOneOut(rows [][]float64, class []int) (LeftOut, error) {
	var out LeftOut
	if len(rows) != len(class) {
		return out, fmt.Errorf("%d cases and %d class numbers", len(rows), len(class))
	}
	out.Confusion = make([][]int, len(d.groups))
	for g := range out.Confusion {
		out.Confusion[g] = make([]int, len(d.groups))
	}
	for i, x := range rows {
		less, err := d.Without(x, class[i])
		if err != nil {
			return out, fmt.Errorf("case %d: %w", i+1, err)
		}
		pl, err := less.Place(x)
		if err != nil {
			return out, fmt.Errorf("case %d: %w", i+1, err)
		}
		out.Placements = append(out.Placements, pl)
		out.Confusion[class[i]][pl.Class]++
		if pl.Class != class[i] {
			out.Wrong++
		}
	}
	if len(rows) > 0 {
		out.Error = float64(out.Wrong) / float64(len(rows))
	}
	return out, nil
}
