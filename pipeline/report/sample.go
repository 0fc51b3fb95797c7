package report

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"spadefoot/pipeline/record/sorting"
)

// The sample of a large survey. A capture belongs to strata: its name, its
// group of name, life stage and sex, each of its measurements, its sheet. Each
// stratum keeps those of its captures whose hashes are lowest, at most so many,
// and a capture is in the sample while one of its strata keeps it. So what a
// picture shows of a stratum is an even sample of it: all captures whose hashes
// are below its limit. A middle value of 1,536 animals has a standard error of
// 3 % of the standard deviation among them, one of 256 animals 8 %; the power of
// mass on length differed by up to 0.04 from that of all 25,000 animals of a name
// in a generated survey.
const (
	sampleOfName    = 1536
	sampleOfGroup   = 256
	sampleOfMeasure = 1024
	sampleOfSheet   = 512
	sampleOfRare    = 8 // of names and groups that are unlikely to be drawn

	maxNamesDrawn  = 2 * maxTaxa
	maxGroupsDrawn = 3 * maxStrips
	maxSheetsDrawn = 2 * maxSheets

	maxSketches = 16_384 // after a choice; before the next one there may be half as many more
)

// stratum is a part of the captures with its limit: those with a hash above it
// are not in the sample for its sake.
type stratum struct{ limit uint64 }

func everyone() stratum { return stratum{math.MaxUint64} }

// limitOf is the hash up to which a capture is in the sample. It belongs to
// the measurements that were just counted.
func (g *Gatherer) limitOf(n *noted) uint64 {
	limit := max(n.group.limit, n.group.of.limit, n.sheet.limit)
	for _, m := range g.touched {
		limit = max(limit, m.limit)
	}
	return limit
}

// keeps reports whether a sketch is in the sample.
func (g *Gatherer) keeps(s *sketch) bool {
	return s.hash <= max(s.group.limit, s.group.of.limit, s.sheet.limit) ||
		slices.ContainsFunc(s.readings, func(r reading) bool { return s.hash <= g.measured[r.measure].limit })
}

// choose makes the sample smaller: each stratum keeps its share, and less than
// that where the shares are too many together.
func (g *Gatherer) choose() {
	members := g.members()
	for part := 1; ; part *= 2 {
		for s, most := range g.shares() {
			s.lower(members[s], most/part)
		}
		kept := g.kept[:0:0]
		for _, s := range g.kept {
			if s.kept = g.keeps(s) || s.chosen(); s.kept {
				kept = append(kept, s)
			}
		}
		if len(kept) <= maxSketches || part > sampleOfName {
			g.kept = kept
			return
		}
	}
}

// lower brings the limit of a stratum down to where it keeps at most so many.
func (st *stratum) lower(hashes []uint64, most int) {
	if len(hashes) <= most {
		return
	}
	slices.Sort(hashes)
	if most == 0 {
		st.limit = 0
		return
	}
	st.limit = min(st.limit, hashes[most-1])
}

// members lists the hashes of each stratum that are within its limit.
func (g *Gatherer) members() map[*stratum][]uint64 {
	out := map[*stratum][]uint64{}
	add := func(st *stratum, hash uint64) {
		if hash <= st.limit {
			out[st] = append(out[st], hash)
		}
	}
	for _, s := range g.kept {
		add(&s.group.stratum, s.hash)
		add(&s.group.of.stratum, s.hash)
		add(&s.sheet.stratum, s.hash)
		for i := range s.readings {
			m := s.readings[i].measure
			if s.first(int(m)) == &s.readings[i] {
				add(&g.measured[m].stratum, s.hash)
			}
		}
	}
	return out
}

// shares says how many captures each stratum keeps: more of those that will be
// drawn, as far as that is known by now.
func (g *Gatherer) shares() map[*stratum]int {
	out := map[*stratum]int{}
	for i, t := range g.taxaByNumber() {
		out[&t.stratum] = sampleOfRare
		if i < maxNamesDrawn {
			out[&t.stratum] = sampleOfName
		}
	}
	for i, gr := range g.groupsByNumber() {
		out[&gr.stratum] = sampleOfRare
		if i < maxGroupsDrawn {
			out[&gr.stratum] = sampleOfGroup
		}
	}
	for _, m := range g.measured {
		out[&m.stratum] = sampleOfMeasure
	}
	drawn := 0
	for _, sh := range g.inOrder() {
		out[&sh.stratum] = 0
		if sh.own && drawn < maxSheetsDrawn {
			drawn++
			out[&sh.stratum] = sampleOfSheet
		}
	}
	return out
}

// taxaByNumber lists the names that are counted, the most frequent first.
func (g *Gatherer) taxaByNumber() []*taxon {
	return sorting.SortedFunc(maps.Values(g.taxa), func(a, b *taxon) int { return cmp.Or(b.n-a.n, cmp.Compare(a.name, b.name)) })
}

// groupsByNumber lists the groups that are counted, the largest first.
func (g *Gatherer) groupsByNumber() []*group {
	return sorting.SortedFunc(maps.Values(g.groups), func(a, b *group) int { return cmp.Or(b.n-a.n, a.compare(b.strip)) })
}

// inOrder lists the sheets as their captures came.
func (g *Gatherer) inOrder() []*sheet {
	var out []*sheet
	for _, s := range g.sheets {
		if s.n > 0 {
			out = append(out, s)
		}
	}
	sorting.Func(out, func(a, b *sheet) int { return a.first - b.first })
	return out
}
