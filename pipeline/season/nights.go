package season

import (
	"errors"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/statistics"
)

// Catch is how many of a species were caught in a season. A night at a site is
// one night. The effort is that of the nights that state one, where all of them
// do so in one unit.
type Catch struct {
	Species, Season, Site   string
	Nights, Captures        int
	PerNight, SD, Low, High float64

	EffortNights           int
	Effort                 float64
	EffortUnit             string
	PerEffort, ELow, EHigh float64
	EffortCaptures         int // in those nights
}

// Night is how many of a species were caught in a night, all sites together. In a
// night in which nothing was found the species is blank.
type Night struct {
	Date, Species string
	N             int
}

// maxNights bounds the nights that pictures are drawn from, each species of each
// night counted.
const maxNights = 4000

// addNight adds what was caught of a species at a site.
func (r *Results) addNight(date, species string, n int) {
	for i := len(r.Nights) - 1; i >= 0 && r.Nights[i].Date == date; i-- {
		if r.Nights[i].Species == species {
			r.Nights[i].N += n
			return
		}
	}
	if len(r.Nights) == maxNights {
		r.NightsCut = true
		return
	}
	r.Nights = append(r.Nights, Night{date, species, n})
}

// place is a site in a season, and what was caught at it.
type place struct {
	nights  int
	effort  statistics.RatioSums // of the nights that state one; only N, X and XX
	unit    string
	mixed   bool // the effort is stated in several units
	species map[string]*caughtAt
}

// caughtAt are sums over the nights in which a species was caught.
type caughtAt struct {
	captures, squares float64
	withEffort        statistics.RatioSums // without N, X and XX
}

// counted is what is said of a site in a season, in all of its nights.
type counted struct {
	site, mark, word string
	here, all        *caughtAt // of a species: at the site, and at all of them
}

// seen is what was seen in one night.
type seen struct {
	*counted
	n int
}

// nightWalk goes through the nights of one season after the other.
type nightWalk struct {
	r      *Results
	nights *file
	catch  *file

	season string
	seen   map[value][]seen // by night, in the order of sites, marks and words
	places map[string]*place
}

func (g *Gatherer) writeNights(create Create, r *Results) (err error) {
	w := &nightWalk{r: r, seen: map[value][]seen{}, places: map[string]*place{}}
	if w.nights, err = create.open("nights.csv", nightColumns); err != nil {
		return err
	}
	defer func() { err = errors.Join(err, w.nights.close(), w.catch.close()) }()
	if w.catch, err = create.open("catch.csv", catchColumns); err != nil {
		return err
	}
	var of *counted
	var nights []valued
	last := ""
	for e, err := range g.nights.All() {
		if err != nil {
			return err
		}
		if of == nil || e[0] != last {
			last = e[0]
			words := cutWords(e[0], 4)
			if words[0] != w.season {
				if err := w.endSeason(); err != nil {
					return err
				}
				w.season = words[0]
			}
			of = w.counted(words[1], words[2], words[3])
		}
		text := packed(e[1])
		nights = text.values(nights[:0])
		for _, night := range nights {
			list := w.seen[night.value]
			if k := len(list) - 1; k >= 0 && list[k].counted == of {
				list[k].n += night.n
				continue
			}
			w.seen[night.value] = append(list, seen{of, night.n})
		}
	}
	return w.endSeason()
}

// counted begins what is said of a site. A night at a place that is withheld may
// be one at a site that is not, so it is none of the nights that are counted.
func (w *nightWalk) counted(site, mark, word string) *counted {
	c := &counted{site: site, mark: mark, word: word}
	if mark == nightHidden {
		return c
	}
	here, all := w.placeOf(site), w.placeOf(All)
	if mark == nightSpecies {
		c.here, c.all = here.caught(word), all.caught(word)
	}
	return c
}

func (w *nightWalk) placeOf(site string) *place {
	p := w.places[site]
	if p == nil {
		p = &place{species: map[string]*caughtAt{}}
		w.places[site] = p
	}
	return p
}

func (p *place) caught(species string) *caughtAt {
	c := p.species[species]
	if c == nil {
		c = &caughtAt{}
		p.species[species] = c
	}
	return c
}

// night writes what was seen at one site in one night.
func (w *nightWalk) night(date string, seen []seen) error {
	e := effortOfNight(seen)
	site := seen[0].site
	if seen[0].mark != nightHidden {
		w.places[site].addNight(e)
		w.places[All].addNight(e)
	}
	amount, per := math.NaN(), math.NaN()
	if e.amount > 0 {
		amount = e.amount
	}
	row := func(species string, n int) error {
		w.r.addNight(date, species, n)
		if e.amount > 0 {
			per = float64(n) / e.amount
		}
		return w.nights.texts(w.season, date, site, species).counts(n).figures(amount).texts(e.unit).figures(per).end()
	}
	none := true
	for _, s := range seen {
		if s.mark == nightSpecies {
			s.here.add(e, s.n)
			s.all.add(e, s.n)
		}
		if s.mark == nightSpecies || s.mark == nightHidden {
			none = false
			if err := row(s.word, s.n); err != nil {
				return err
			}
		}
	}
	if none {
		return row("", 0)
	}
	return nil
}

// effortOfNight is the effort that is stated of a night at a site. Of several nobody
// knows how they go together.
func effortOfNight(seen []seen) (e effort) {
	for i, s := range seen {
		if s.mark != nightEffort {
			break
		}
		number, unit, _ := strings.Cut(s.word, " ")
		amount, err := strconv.ParseFloat(number, 64)
		if i > 0 || err != nil {
			return effort{}
		}
		e = effort{amount, unit}
	}
	return e
}

// addNight takes a night in.
func (p *place) addNight(e effort) {
	p.nights++
	if e.amount > 0 {
		p.mixed = p.mixed || p.unit != "" && p.unit != e.unit
		p.unit = e.unit
		p.effort.N, p.effort.X, p.effort.XX = p.effort.N+1, p.effort.X+e.amount, p.effort.XX+e.amount*e.amount
	}
}

// add takes what was caught in a night in.
func (c *caughtAt) add(e effort, n int) {
	y := float64(n)
	c.captures, c.squares = c.captures+y, c.squares+y*y
	if e.amount > 0 {
		sums := &c.withEffort
		sums.Y, sums.XY, sums.YY = sums.Y+y, sums.XY+e.amount*y, sums.YY+y*y
	}
}

// endSeason writes what was seen in the nights of a season, and what was caught in
// all of them.
func (w *nightWalk) endSeason() error {
	for _, night := range slices.Sorted(maps.Keys(w.seen)) {
		date := date(night)
		for all := w.seen[night]; len(all) > 0; {
			n := 1
			for n < len(all) && all[n].site == all[0].site {
				n++
			}
			if err := w.night(date, all[:n]); err != nil {
				return err
			}
			all = all[n:]
		}
	}
	clear(w.seen)
	rows := map[string]map[string]*place{} // by species and site
	for site, p := range w.places {
		for species := range p.species {
			if rows[species] == nil {
				rows[species] = map[string]*place{}
			}
			rows[species][site] = p
		}
	}
	w.places = map[string]*place{}
	for _, species := range lastAll(rows) {
		for _, site := range lastAll(rows[species]) {
			c := rows[species][site].of(species, w.r.Settings.Confidence)
			c.Species, c.Season, c.Site = species, w.season, site
			if site == All {
				keep(w.r, &w.r.Catches, c)
			}
			if err := w.catch.row(c.cells()...); err != nil {
				return err
			}
		}
	}
	return nil
}

// of is what was caught of a species at the place.
func (p *place) of(species string, confidence float64) Catch {
	s := p.species[species]
	n := float64(p.nights)
	each := statistics.RatioSums{N: p.nights, X: n, XX: n, Y: s.captures, XY: s.captures, YY: s.squares}
	c := Catch{Nights: p.nights, Captures: int(s.captures), SD: math.NaN(), PerEffort: math.NaN(), ELow: math.NaN(), EHigh: math.NaN()}
	c.PerNight, c.Low, c.High = each.Ratio(confidence)
	if p.nights > 1 {
		c.SD = math.Sqrt(max(0, s.squares-s.captures*s.captures/n) / (n - 1))
	}
	if p.effort.N > 0 && !p.mixed {
		sums := s.withEffort
		sums.N, sums.X, sums.XX = p.effort.N, p.effort.X, p.effort.XX
		c.EffortNights, c.Effort, c.EffortUnit, c.EffortCaptures = sums.N, sums.X, p.unit, int(sums.Y)
		c.PerEffort, c.ELow, c.EHigh = sums.Ratio(confidence)
	}
	return c
}

func (c *Catch) cells() []string {
	nights, effort, captures := "", "", ""
	if c.EffortNights > 0 {
		nights, effort, captures = whole(c.EffortNights), Figure(c.Effort), whole(c.EffortCaptures)
	}
	return []string{c.Species, c.Season, c.Site, whole(c.Nights), whole(c.Captures), Figure(c.PerNight), Figure(c.SD), Figure(c.Low), Figure(c.High),
		nights, captures, effort, c.EffortUnit, Figure(c.PerEffort), Figure(c.ELow), Figure(c.EHigh)}
}
