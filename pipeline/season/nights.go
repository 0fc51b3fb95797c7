package season

import (
	"errors"
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
	species map[string]*caught
}

// caught are sums over the nights in which a species was caught.
type caught struct {
	captures, squares float64
	withEffort        statistics.RatioSums // without N, X and XX
}

// nightWalk goes through the nights of one season after the other.
type nightWalk struct {
	r      *Results
	nights *file
	catch  *file

	words   []string // season, night, site
	effort  effort
	vague   bool // several efforts are stated
	species []counted
	places  map[string]*place
}

func (g *Gather) writeNights(create Create, r *Results) (err error) {
	w := &nightWalk{r: r, places: map[string]*place{}}
	if w.nights, err = create.open("nights.csv", nightColumns); err != nil {
		return err
	}
	defer func() { err = errors.Join(err, w.nights.close(), w.catch.close()) }()
	if w.catch, err = create.open("catch.csv", catchColumns); err != nil {
		return err
	}
	for c, err := range g.nights.all() {
		if err != nil {
			return err
		}
		words := cutWords(c.key, 5)
		if w.words == nil || !slices.Equal(w.words, words[:3]) {
			if err := w.begin(words[:3]); err != nil {
				return err
			}
		}
		switch mark, word := words[3], words[4]; mark {
		case nightEffort:
			w.takeEffort(word)
		case nightSpecies:
			w.species = append(w.species, counted{word, c.n})
		}
	}
	return errors.Join(w.endNight(), w.endSeason())
}

func (w *nightWalk) begin(words []string) error {
	if err := w.endNight(); err != nil {
		return err
	}
	if w.words != nil && w.words[0] != words[0] {
		if err := w.endSeason(); err != nil {
			return err
		}
	}
	w.words, w.effort, w.vague, w.species = words, effort{}, false, nil
	return nil
}

// takeEffort notes the effort of a night. Of several nobody knows how they go
// together.
func (w *nightWalk) takeEffort(word string) {
	number, unit, _ := strings.Cut(word, " ")
	amount, err := strconv.ParseFloat(number, 64)
	w.vague = w.vague || err != nil || w.effort.unit != ""
	w.effort = effort{amount, unit}
}

func (w *nightWalk) endNight() error {
	if w.words == nil {
		return nil
	}
	if w.vague {
		w.effort = effort{}
	}
	for _, site := range []string{w.words[2], All} {
		w.placeOf(site).add(w.effort, w.species)
	}
	rows := w.species
	if len(rows) == 0 {
		rows = []counted{{}}
	}
	for _, c := range rows {
		w.r.addNight(w.words[1], c.key, c.n)
		amount, per := "", ""
		if e := w.effort.amount; e > 0 {
			amount, per = Figure(e), Figure(float64(c.n)/e)
		}
		if err := w.nights.row(w.words[0], w.words[1], w.words[2], c.key, whole(c.n), amount, w.effort.unit, per); err != nil {
			return err
		}
	}
	return nil
}

func (w *nightWalk) placeOf(site string) *place {
	p := w.places[site]
	if p == nil {
		p = &place{species: map[string]*caught{}}
		w.places[site] = p
	}
	return p
}

// add takes a night in.
func (p *place) add(e effort, species []counted) {
	p.nights++
	if e.amount > 0 {
		p.mixed = p.mixed || p.unit != "" && p.unit != e.unit
		p.unit = e.unit
		p.effort.N, p.effort.X, p.effort.XX = p.effort.N+1, p.effort.X+e.amount, p.effort.XX+e.amount*e.amount
	}
	for _, s := range species {
		c := p.species[s.key]
		if c == nil {
			c = &caught{}
			p.species[s.key] = c
		}
		y := float64(s.n)
		c.captures, c.squares = c.captures+y, c.squares+y*y
		if e.amount > 0 {
			sums := &c.withEffort
			sums.Y, sums.XY, sums.YY = sums.Y+y, sums.XY+e.amount*y, sums.YY+y*y
		}
	}
}

// endSeason writes what was caught in a season.
func (w *nightWalk) endSeason() error {
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
			c.Species, c.Season, c.Site = species, w.words[0], site
			if site == All {
				keep(w.r, &w.r.Catches, 0, c)
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
