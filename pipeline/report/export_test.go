package report

// GrowNow turns to the way of large surveys whatever the number of captures.
func (g *Gatherer) GrowNow() { g.grow() }

// Kept are the numbers of sketches, of causes and of sayings that causes are
// known by.
func (g *Gatherer) Kept() (sketches, causes, sayings int) {
	return len(g.kept), len(g.causes.all), len(g.causes.by)
}

// The bounds that tests hold the gatherer to.
const (
	MaxSketches = maxSketches
	MaxCauses   = maxCauses
	WholeUpTo   = wholeUpTo
)
