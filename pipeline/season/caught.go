package season

import (
	"strconv"
	"strings"
)

// caught are the nights of a season in which a species was caught at a site, each
// with the number of animals; or in which an effort was stated there, or nothing
// found.
type caught struct {
	season string
	nights []valued
}

// The marks of what is counted of a night, in the order in which they are read.
const (
	nightEffort  = "1"
	nightSpecies = "2"
	nightNobody  = "3" // nothing was found
	nightHidden  = "4" // a species at a place that is withheld
)

// addNight takes the night of a capture of a group in.
func (g *Gatherer) addNight(t *stated, a *animals, on day) {
	if on = g.settings.nightOf(on, t.text(statedTime)); on.number == 0 || a.group.site == inDoubt {
		g.left[omitted{"night", "no full date, or a site in doubt"}]++
		return
	}
	if t.withheld() {
		if g.left[omitted{"captures per night", "the place is withheld"}]++; !t.absent() {
			g.add(on, countOf(t), g.caughtIn(on.season, a.group.site, nightHidden, a.group.species))
		}
		return
	}
	if e, stated := effortOf(t); stated {
		g.add(on, 1, g.caughtIn(on.season, a.group.site, nightEffort, strconv.FormatFloat(e.amount, 'g', -1, 64)+" "+e.unit))
	}
	if t.absent() {
		g.add(on, 1, g.caughtIn(on.season, a.group.site, nightNobody, ""))
		return
	}
	if a.caught == nil || a.caught.season != on.season {
		a.caught = g.caughtIn(on.season, a.group.site, nightSpecies, a.group.species)
	}
	g.add(on, countOf(t), a.caught)
}

func (g *Gatherer) add(on day, n int, c *caught) {
	c.nights = append(c.nights, valued{on.number, n})
	g.held += 2
}

// caughtIn returns what is in memory of a season, site, mark and word.
func (g *Gatherer) caughtIn(season, site, mark, word string) *caught {
	g.key = appendWords(g.key[:0], season, site, mark, word)
	c := g.caught[string(g.key)]
	if c == nil {
		c = &caught{season: strings.Clone(season)}
		g.caught[string(g.key)] = c
		g.held += memoryOfColumn
	}
	return c
}
