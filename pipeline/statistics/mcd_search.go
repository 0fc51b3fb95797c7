package statistics

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// subset is a candidate: rows by index, with their mean and covariance.
type subset struct {
	rows []int
	fit  *moments
}

type subsetSearch struct {
	rows  [][]float64
	p     int
	share float64
	draw  *rand.Rand

	order   []int     // of a start
	d, work []float64 // squared distances
}

// best runs the search: on all rows where there are few, else in groups, then
// on the groups together, then on all.
func (s *subsetSearch) best(starts int) (*subset, error) {
	n := len(s.rows)
	all := s.draw.Perm(n)
	groups := [][]int{all}
	if n > 2*nestedSize {
		k := min(nestedMost, n/nestedSize)
		size := min(nestedSize, n/k)
		groups = groups[:0]
		for g := range k {
			groups = append(groups, all[g*size:(g+1)*size])
		}
	}
	var found []*subset
	for _, g := range groups {
		found = append(found, s.fromStarts(g, max(starts/len(groups), 20))...)
	}
	if len(groups) > 1 {
		var merged []int
		for _, g := range groups {
			merged = append(merged, g...)
		}
		found = s.concentrateAll(found, merged, 2)
	}
	found = s.concentrateAll(found, all, 200)
	if len(found) == 0 {
		return nil, ErrSingular
	}
	return found[0], nil
}

// fromStarts draws p+1 rows of a group at a time and takes two steps from
// each; it keeps the best few.
func (s *subsetSearch) fromStarts(group []int, starts int) []*subset {
	var kept []*subset
	among := slices.Sorted(slices.Values(group))
	for range starts {
		from := s.start(group)
		if from == nil {
			continue
		}
		if c := s.concentrate(from, among, 2); c != nil {
			kept = keepBest(append(kept, c))
		}
	}
	return kept
}

// start draws rows until their covariance is not singular.
func (s *subsetSearch) start(group []int) *subset {
	s.order = append(s.order[:0], group...)
	s.draw.Shuffle(len(group), func(i, j int) { s.order[i], s.order[j] = s.order[j], s.order[i] })
	for k := s.p + 1; k <= len(group); k++ {
		idx := slices.Clone(s.order[:k])
		if m := momentsOf(s.rows, idx); m.factor() {
			return &subset{rows: idx, fit: m}
		}
	}
	return nil
}

func (s *subsetSearch) concentrateAll(from []*subset, among []int, steps int) []*subset {
	var kept []*subset
	among = slices.Sorted(slices.Values(among))
	for _, f := range from {
		if c := s.concentrate(f, among, steps); c != nil {
			kept = append(kept, c)
		}
	}
	return keepBest(kept)
}

// concentrate takes C-steps: the h rows nearest by the present centre and
// covariance make the next ones, until they stay the same. It returns nil where
// a covariance becomes singular. The indices in among ascend.
func (s *subsetSearch) concentrate(c *subset, among []int, steps int) *subset {
	h := subsetSize(s.share, len(among), s.p)
	d := slices.Grow(s.d[:0], len(among))[:len(among)]
	s.d = d
	for range steps {
		for i, at := range among {
			if d[i] = c.fit.distance2(s.rows[at]); math.IsNaN(d[i]) {
				return nil
			}
		}
		next := &subset{rows: s.nearest(among, d, h)}
		if slices.Equal(next.rows, c.rows) {
			return c
		}
		next.fit = momentsOf(s.rows, next.rows)
		if !next.fit.factor() {
			return nil
		}
		c = next
	}
	return c
}

// nearest returns the h of among, which ascends, with the least d, ascending;
// ties go to the lower index.
func (s *subsetSearch) nearest(among []int, d []float64, h int) []int {
	s.work = append(s.work[:0], d...)
	cut := selectKth(s.work, h-1)
	below := 0
	for _, v := range d {
		if v < cut {
			below++
		}
	}
	idx := make([]int, 0, h)
	level := h - below // of those at the cut
	for i, at := range among {
		if d[i] < cut {
			idx = append(idx, at)
		} else if d[i] == cut && level > 0 {
			idx = append(idx, at)
			level--
		}
	}
	return idx
}

func keepBest(c []*subset) []*subset {
	slices.SortStableFunc(c, func(a, b *subset) int { return cmp.Compare(a.fit.logDet, b.fit.logDet) })
	c = slices.CompactFunc(c, func(a, b *subset) bool { return slices.Equal(a.rows, b.rows) })
	return c[:min(len(c), keptSubsets)]
}
