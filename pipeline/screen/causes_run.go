package screen

import (
	"maps"
	"math"
	"slices"
)

// stretchRows is the number of rows of a sheet that are added up together, where a
// slip of many may have been made from some row of a table to another.
const stretchRows = 64

// runs lists, of every table and correction, the run of stretches that says most for it:
// the largest sum of neighbours (Kadane's algorithm; Bentley 1984). Where a run begins
// and ends is not known beforehand, which makes each as much less likely.
func (c *Causes) runs(corrections []correction) (all []backedClaim) {
	tables := map[uint64][]int32{}
	for key := range c.sums {
		if key.Kind == runOfRows {
			tables[key.Mark] = append(tables[key.Mark], key.From)
		}
	}
	for _, mark := range slices.Sorted(maps.Keys(tables)) {
		stretches := tables[mark]
		if len(stretches) < 2 {
			continue // the table itself
		}
		slices.Sort(stretches)
		places := 2 * math.Log(float64(len(stretches)))
		for correction := range corrections {
			if one, ok := c.run(mark, stretches, correction, math.Log(corrections[correction].odds)-places); ok {
				all = append(all, one)
			}
		}
	}
	return all
}

// run is the best run of one correction; false where nothing speaks for any.
func (c *Causes) run(mark uint64, stretches []int32, correction int, prior float64) (best backedClaim, ok bool) {
	var said saidOf // of the run that ends here
	var rows, n int
	var most int64
	from := int32(0)
	for _, at := range stretches {
		b := c.sums[blockKey{runOfRows, mark, at, at}]
		if said.Gain-int64(n)*whole(-minGain) <= 0 {
			said, rows, n, from = saidOf{Correction: correction}, 0, 0, at
		}
		rows, n = rows+b.Rows, n+c.couldChange(b, correction)
		for i := range b.Said {
			if s := &b.Said[i]; s.Correction == correction {
				said.Corrects, said.Gain = said.Corrects+s.Corrects, said.Gain+s.Gain
			}
		}
		if sum := said.Gain - int64(n)*whole(-minGain); sum > most {
			most, ok = sum, true
			best = said.claim(blockKey{runOfRows, mark, from, at}, rows, n, prior)
		}
	}
	return best, ok
}
