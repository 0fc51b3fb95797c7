package screen

import (
	"cmp"
	"maps"
	"math"
	"slices"
)

// stretchRows is the number of rows of a sheet that are added up together, where a
// slip of many may have been made from some row of a table to another.
const stretchRows = 64

// runs lists, for every table and correction, the run of stretches with the largest sum
// of gains (Kadane's algorithm; Bentley 1984). Where a run begins and ends is not known
// beforehand, which makes each less likely.
func (c *Causes) runs(corrections []correction) (all []backedClaim) {
	tables := map[uint64][]*blockSum{}
	for _, b := range c.sums {
		if b.Block.Kind == runOfRows {
			tables[b.Block.Mark] = append(tables[b.Block.Mark], b)
		}
	}
	for _, mark := range slices.Sorted(maps.Keys(tables)) {
		stretches := tables[mark]
		if len(stretches) < 2 {
			continue // the table itself
		}
		slices.SortFunc(stretches, func(a, b *blockSum) int { return cmp.Compare(a.Block.From, b.Block.From) })
		places := 2 * math.Log(float64(len(stretches)))
		for correction := range corrections {
			if one := c.run(stretches, int16(correction), corrections[correction].prior-places); one.plain() {
				all = append(all, one)
			}
		}
	}
	return all
}

// run is the best run of one correction among the stretches of a table.
func (c *Causes) run(stretches []*blockSum, correction int16, prior float64) (best backedClaim) {
	run := gainSum{Correction: correction} // that ends here
	var rows, n int
	var most int64
	block := stretches[0].Block
	for _, b := range stretches {
		if run.Gain-int64(n)*whole(-minGain) <= 0 {
			run, rows, n, block = gainSum{Correction: correction}, 0, 0, b.Block
		}
		could, all := c.couldChange(b, correction)
		rows, n, block.To = rows+all, n+could, b.Block.To
		for i := range b.Gains {
			if s := &b.Gains[i]; s.Correction == correction {
				run.Corrects, run.Gain = run.Corrects+s.Corrects, run.Gain+s.Gain
			}
		}
		if sum := run.Gain - int64(n)*whole(-minGain); sum > most {
			most, best = sum, run.claim(block, rows, n, prior)
		}
	}
	return best
}
