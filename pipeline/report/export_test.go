package report

// GrowNow turns to the way of large surveys whatever the number of captures.
func (g *Gather) GrowNow() { g.grow() }

// Kept are the numbers of sketches, of causes and of sayings that causes are
// known by.
func (g *Gather) Kept() (sketches, causes, sayings int) {
	return len(g.kept), len(g.causes.all), len(g.causes.by)
}

// The bounds that tests hold the gatherer to.
const (
	MaxSketches = maxSketches
	MaxCauses   = maxCauses
	WholeUpTo   = wholeUpTo
)

// Merge adds the columns of captures that come after those of cs.
func (cs *Columns) Merge(later *Columns) {
	for i, name := range later.terms.All {
		k := cs.term(name)
		cs.termDiffers[k] = cs.termDiffers[k] || later.termDiffers[i]
	}
	for i, key := range later.readings.All {
		k := cs.reading(key)
		cs.readingDiffers[k], cs.units[k] = cs.readingDiffers[k] || later.readingDiffers[i], later.units[i]
	}
	for _, heading := range later.extras.All {
		cs.extra(heading)
	}
}
