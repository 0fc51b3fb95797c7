package screen

import (
	"math"
	"slices"
	"sync"

	"spadefoot/pipeline/record"
)

// search looks for causes beyond the single capture: one slip throughout a column of
// a sheet, a session or an observer; values that shifted into the row above or below.
// It corrects its rows accordingly, so that the rest of each capture is judged as if
// it had been written right.
type search struct {
	f             *fitted
	sum           *Summary
	rows          []*row
	sights        []sight
	names         []string // of lengths and masses
	corrections   []correction
	contributions []contribution // of the rows, while they are viewed; nil where none are wanted
	explained     *cellSet
	findings      []record.Finding
	pieces        []causePiece   // of causes that may go on in other parts
	own           span           // rows of the part; the others are beside it and not reported
	slipped       bool           // a slip of many is evident from the part alone
	local         bool           // the part has shifted or exchanged rows
	adding        sync.WaitGroup // of the contributions to the causes, while the search goes on
}

// span is a run of rows, to excluded.
type span struct{ from, to int }

func (s span) holds(row int) bool { return s.from <= row && row < s.to }

// newSearch begins a search; contributing: with what the rows of the part contribute to the
// causes.
func newSearch(k knowledge, rows []*row, own span, buffers *buffers, contributing bool) *search {
	buffers.sights = sized(buffers.sights, len(rows))
	j := &search{rows: rows, own: own, sights: buffers.sights, explained: &cellSet{}, corrections: k.f.corrections()}
	if contributing {
		buffers.contributions = sized(buffers.contributions, len(rows))
		j.contributions = buffers.contributions
	}
	j.viewAll(k, buffers)
	return j
}

// viewAll views all rows by what is known of the survey.
func (j *search) viewAll(k knowledge, buffers *buffers) {
	j.f, j.sum, j.names = k.f, k.sum, slices.Concat(k.f.lengths, k.f.masses)
	eachRange(len(j.rows), func(from, to int) {
		buf := buffers.of(from).viewsFor(j.rows[from:to])
		for i := from; i < to; i++ {
			j.sights[i] = j.sightOf(buf, j.rows[i])
			if j.contributions != nil && j.own.holds(i) {
				j.weigh(buf, &j.sights[i])
				j.contributionOf(i, &j.contributions[i])
			}
		}
	})
}

// weighWhere weighs the wanted rows.
func (j *search) weighWhere(wanted func(i int) bool, buffers *buffers) {
	eachRange(len(j.rows), func(from, to int) {
		buf := &buffers.of(from).views
		for i := from; i < to; i++ {
			if wanted(i) {
				j.weigh(buf, &j.sights[i])
			}
		}
	})
}

// contributionOf finds what a weighed row contributes to every correction that could
// change it.
func (j *search) contributionOf(i int, to *contribution) {
	to.reach, to.possible, to.gains = 0, sized(to.possible, (len(j.corrections)+63)/64), to.gains[:0]
	clear(to.possible)
	var buf [2 * maxDims]int16
	s := &j.sights[i]
	if s.view == nil {
		return
	}
	places := j.placesIn(s, buf[:0])
	var by moves
	for m := range j.corrections {
		square, c := -1.0, &j.corrections[m]
		switch first := int(places[c.at[0]]); {
		case c.slip == columnsSwapped:
			if second := int(places[c.at[1]]); first >= 0 && second >= 0 {
				square = max(0, s.view.swapped(first, second))
			}
		case len(c.at) == 1 && c.at[0] < len(j.f.lengths):
			if first >= 0 {
				square = s.view.shiftedBy(first, c.log)
			}
		case j.moves(s, places, c, &by):
			square = s.view.shifted(&by)
		}
		if square < 0 {
			continue
		}
		to.possible.add(m)
		gain := s.gain(square)
		if gain <= minGain {
			continue
		}
		if more := whole(gain - minGain); more > 0 {
			one := correctionGain{correction: int16(m), gain: more}
			if correctsBy(gain) {
				one.corrects = 1
			}
			to.gains = append(to.gains, one)
		}
	}
	to.reach = to.possible.digest()
}

// placesIn returns the place of each measurement in a view, -1 where it was not
// taken, or is corrected already.
func (j *search) placesIn(s *sight, places []int16) []int16 {
	for range j.names {
		places = append(places, -1)
	}
	if s.view == nil {
		return places
	}
	for i, c := range s.view.cells {
		if at := j.f.known[c.number]; at >= 0 && !s.taken[c.measurement] {
			places[at] = int16(i)
		}
	}
	return places
}

// correctBlocks adds the contributions of the part's rows, and applies the accepted claims.
// Rows that the newest claims correct contribute anew. Corrected are the rows that each
// claim corrects, as far as earlier passes found them; those of all claims are returned.
func (j *search) correctBlocks(c *Causes, first bool, corrected [][]int32, buffers *buffers) [][]int32 {
	of := make([]blocksOf, len(j.rows))
	eachAtOnce(len(of), func(i int) { of[i] = blocks(j.rows[i]) })
	if first {
		j.contribute(c, of)
	}
	touched := map[int]bool{} // by the newest
	contribute := func(i, sign int) {
		var own [1]contribution
		j.weigh(new(viewBuffers), &j.sights[i])
		j.contributionOf(i, &own[0])
		c.add(of[i:], own[:], sign)
	}
	for n := range c.claims {
		claim, known := &c.claims[n], n < len(corrected)
		if !known {
			corrected = append(corrected, nil)
			j.weighWhere(func(i int) bool { return claim.Block.holds(&of[i]) }, buffers)
		}
		var p *causePiece
		for i := range j.rows {
			if !claim.Block.holds(&of[i]) {
				continue
			}
			if n >= c.fresh && !first && !touched[i] && j.own.holds(i) {
				touched[i] = true
				contribute(i, -1)
			}
			var by moves
			if !j.moves(&j.sights[i], j.placesIn(&j.sights[i], nil), &j.corrections[claim.Correction], &by) {
				continue
			}
			if !known && j.corrects(i, &by, claim.Block.beside(&of[i])) {
				corrected[n] = append(corrected[n], int32(i))
			}
			_, yes := slices.BinarySearch(corrected[n], int32(i))
			p = j.correct(i, claim, n, &by, yes, p)
		}
		if p != nil {
			p.keep()
			j.pieces = append(j.pieces, *p)
		}
	}
	for i := j.own.from; i < j.own.to; i++ {
		if touched[i] {
			contribute(i, 1)
		}
	}
	for key, sum := range c.shifts {
		for i := j.own.from; i < j.own.to; i++ {
			if key.Block.holds(&of[i]) {
				j.addShifts(i, key.Correction, sum)
			}
		}
	}
	return corrected
}

// contribute adds the contributions of all rows of the part, while the search goes on.
func (j *search) contribute(c *Causes, of []blocksOf) {
	of, all := of[j.own.from:j.own.to], j.contributions[j.own.from:j.own.to]
	j.contributions = nil
	j.adding.Go(func() { c.add(of, all, 1) })
	strange := 0
	for i := j.own.from; i < j.own.to; i++ {
		if j.sights[i].suspect {
			strange++
		}
	}
	if strange >= minInBlock && manyStrange*strange >= j.own.to-j.own.from {
		alone := newCauses(j.f.settings)
		alone.add(of, all, 1)
		claims, _ := alone.acceptable(j.corrections)
		j.slipped = len(claims) > 0
	}
}

// manyStrange: a part in which one of so many rows is strange is searched by itself for
// a slip of many.
const manyStrange = 20

// addShifts adds how likely a row is if all masses of its block are a little larger or
// smaller.
func (j *search) addShifts(i, correction int, sum *shiftSum) {
	var buf [2 * maxDims]int16
	var by moves
	s := &j.sights[i]
	if s.view == nil || !j.moves(s, j.placesIn(s, buf[:0]), &j.corrections[correction], &by) {
		return
	}
	j.weigh(new(viewBuffers), s)
	v := s.view
	at := v.at(bodyMass)
	for k := range sum {
		sum[k] += whole(v.likelihood(v.moved(at, -float64(k-maxBlockShift)*blockShift), len(v.cells)) - s.alone)
	}
}

// corrects reports whether a slip of many corrects a row of its block. A row beside the
// block must gain by it.
func (j *search) corrects(i int, by *moves, beside bool) bool {
	s := &j.sights[i]
	j.weigh(new(viewBuffers), s)
	gain := s.gain(s.view.shifted(by))
	if beside && gain <= minEach {
		return false
	}
	return correctsBy(gain) || s.suspect && j.mendsOneOfTwo(i, by)
}

// correct writes a claim back into a row of its block, where it corrects it, and into the
// piece of the part, where the row is one of its own.
func (j *search) correct(i int, c *claim, n int, by *moves, corrects bool, p *causePiece) *causePiece {
	own := j.own.holds(i)
	if own {
		if p == nil {
			p = &causePiece{Kind: ofColumn, Claim: n, Title: blockTitle(int(c.Block.Kind), j.rows[i].capture)}
		}
		p.N++
	}
	if !corrects {
		return p
	}
	if own {
		j.addCorrected(p, i, &j.corrections[c.Correction])
	}
	s := &j.sights[i]
	if s.taken == nil {
		s.taken = map[string]bool{}
	}
	for k := range by.n {
		cell := s.view.cells[by.at[k]]
		cell.become(math.Exp(cell.log+by.by[k]), cell)
		s.taken[cell.measurement] = true
		j.markExplained(cell)
	}
	j.see(i)
	return p
}

// mendsOneOfTwo reports whether moves correct what they change in a row that has another
// slip besides: both are then weighed over all accounts.
func (j *search) mendsOneOfTwo(i int, by *moves) bool {
	s, was := &j.sights[i], make([]cell, by.n)
	for k := range by.n {
		c := s.view.cells[by.at[k]]
		was[k] = *c
		c.become(math.Exp(c.log+by.by[k]), c)
	}
	after := j.f.view(j.rows[i])
	corrects := after != nil && correctsBy(j.f.weight(after, j.sum.usualDecimals, new(viewBuffers))-s.alone)
	for k := range by.n {
		*s.view.cells[by.at[k]] = was[k]
	}
	return corrects
}

// see views a row anew after it was corrected. It is weighed when needed.
func (j *search) see(i int) {
	taken := j.sights[i].taken
	j.sights[i] = j.sightOf(new(viewBuffers), j.rows[i])
	j.sights[i].taken = taken
}

// markExplained marks the readings of a cell as explained.
func (j *search) markExplained(c *cell) {
	c.explained = true
	for _, r := range c.readings {
		j.explained.add(r.From())
	}
}
