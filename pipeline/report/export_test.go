package report

// GrowNow turns to the way of large surveys whatever the number of captures.
func (g *Gather) GrowNow() { g.grow() }

// Kept are the numbers of sketches and causes that are kept.
func (g *Gather) Kept() (sketches, causes int) { return len(g.kept), len(g.causes.all) }

// The bounds that tests hold the gatherer to.
const (
	MostSketches = mostSketches
	MostCauses   = mostCauses
	WholeUpTo    = wholeUpTo
)
