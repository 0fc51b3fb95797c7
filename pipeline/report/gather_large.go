package report

import "spadefoot/pipeline/record"

// grow turns to the way of large surveys: a sample of the captures, and causes
// in bounded number.
func (g *Gatherer) grow() {
	g.large = true
	g.forget()
	for _, s := range g.kept {
		s.kept, s.flags = true, nil
	}
	g.merge(g.doubts, ownersOf(g.kept, g.doubts, g))
	for _, s := range g.kept {
		if on := g.days.at(s.date); on != nil {
			doubted := truth(s.doubtedIn(termDateName, s.dateAt))
			g.days.add(on, g.countedAs(s.group.of), 1-doubted, doubted)
			on.wrong = on.wrong || s.wrong
		}
	}
	g.doubts, g.ranked, g.rows = nil, nil, nil
	g.choose()
}

// forget leaves the rarest names and groups out of the counts, as many as a
// large survey would not have begun to count.
func (g *Gatherer) forget() {
	for i, t := range g.taxaByNumber() {
		if i >= maxNames {
			t.limit = 0
			t.counted = false
			delete(g.taxa, t.name)
		}
	}
	for i, gr := range g.groupsByNumber() {
		if i >= maxGroups || g.taxa[gr.taxon] == nil {
			gr.limit = 0
			delete(g.groups, gr.strip)
		}
	}
}

// addLarge takes a part of a large survey.
func (g *Gatherer) addLarge(captures []*record.Capture, doubts []*record.Finding) {
	asked := g.concernOf(doubts)
	var about []*sketch // captures that the findings may be about
	for _, c := range captures {
		n := g.count(c)
		date := n.value[termDate]
		if on := g.days.of(date); on != nil {
			g.days.add(on, g.countedAs(n.group.of), 1, 0)
			on.wrong = on.wrong || date.Wrong
		}
		sampled, concerned := identity(c) <= g.limitOf(&n), asked.concerns(c, n.sheet)
		if !sampled && !concerned {
			continue
		}
		s := g.sketch(c, &n)
		if sampled {
			s.kept = true
			g.kept = append(g.kept, s)
		}
		if concerned {
			about = append(about, s)
		}
		if len(g.kept) > maxSketches+maxSketches/2 {
			g.choose()
		}
	}
	g.merge(doubts, ownersOf(about, doubts, g))
	for _, s := range about {
		if s.dated && s.doubtedIn(termDateName, s.dateAt) {
			g.days.add(g.days.at(s.date), g.countedAs(s.group.of), -1, 1)
		}
	}
	g.keepBounds()
}

// endLarge takes what is said of a large survey as a whole. Captures that are
// not in the sample are known by their rows only.
func (g *Gatherer) endLarge(doubts []*record.Finding) {
	g.causes.listCells(func(a record.Address) bool { return g.sheetAt(a.File, a.Sheet).n > 0 })
	g.merge(doubts, ownersOf(g.kept, doubts, g))
	g.causes.cells = nil
	g.keepBounds()
}

// keepBounds brings sample, causes and days back to their bounds.
func (g *Gatherer) keepBounds() {
	if g.causes.drop() || len(g.kept) > maxSketches {
		g.choose()
	}
	if g.days.counts > maxDays {
		g.days.lump(8 * maxTaxa)
	}
}

// countedAs is the name that days of a taxon are counted under.
func (g *Gatherer) countedAs(t *taxon) string {
	if t.counted {
		return t.name
	}
	return others
}
