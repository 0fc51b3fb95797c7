package taxon

import "slices"

// Groups are the groups above the genus that a name belongs to, as far as they
// are known.
type Groups struct {
	Kingdom string `csv:"kingdom"`
	Phylum  string `csv:"phylum"`
	Class   string `csv:"class"`
	Order   string `csv:"order"`
	Family  string `csv:"family"`
}

// group is one of them.
type group struct {
	rank string
	name *string
}

// ranked are the groups from the largest to the smallest.
func (g *Groups) ranked() []group {
	return []group{{"kingdom", &g.Kingdom}, {"phylum", &g.Phylum}, {"class", &g.Class}, {"order", &g.Order}, {"family", &g.Family}}
}

// lowestGroup returns the smallest group that is known.
func (g *Groups) lowestGroup() (name, rank string) {
	for _, group := range slices.Backward(g.ranked()) {
		if *group.name != "" {
			return *group.name, group.rank
		}
	}
	return "", ""
}
