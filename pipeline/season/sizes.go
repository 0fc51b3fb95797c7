package season

import (
	"errors"
	"maps"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/statistics"
)

// Size is what is known of one measurement of a group.
type Size struct {
	Measurement                       string
	Species, Sex, Stage, Site, Season string
	statistics.Moments
	Median, Least, Most float64
	Low, High           float64 // of the mean
	LeftOut             int     // animals whose value is in doubt
}

// Class is the number of animals of a group in a class of sizes, the upper limit
// not included.
type Class struct {
	Measurement                 string
	Species, Sex, Stage, Season string
	From, Below                 float64
	N                           int
}

// Change is the difference between two seasons of a group that follow each
// other.
type Change struct {
	Measurement               string
	Species, Sex, Stage, Site string
	Earlier, Later            string
	First, Second             statistics.Moments
	statistics.Difference
}

// sizeWalk goes through the groups that have values of a measurement in their order,
// and closes one when its last value has come.
type sizeWalk struct {
	r           *Results // of the measurement
	measurement string

	group   group
	begun   bool
	site    *spread
	season  *spread
	stage   *spread                                  // of all seasons
	moments map[string]map[string]statistics.Moments // of a stage, by site and season
	species []seasonSpread                           // of all sites
	sizes   *file
	classes *file
	changes *file
}

type seasonSpread struct {
	sex, stage, season string
	spread             *spread
}

// The depths of a group in its words.
const (
	depthSpecies = iota
	depthSex
	depthStage
	depthSeason
	depthSite
	depthOfAll
)

// writeAnimals goes through the groups in their order: it counts sexes, and each
// measurement has a walk of its own through the sizes.
func (g *Gatherer) writeAnimals(create Create, r *Results) (err error) {
	walks := make([]*sizeWalk, len(g.names))
	for i, name := range g.names {
		walks[i] = &sizeWalk{r: &Results{Settings: g.settings}, measurement: name, site: &spread{}}
	}
	sexes := sexWalk{r: r}
	if sexes.f, err = r.creating(create).open("sexes.csv", sexColumns); err != nil {
		return err
	}
	defer func() {
		err = errors.Join(err, sexes.f.close())
		for _, w := range walks {
			err = errors.Join(err, w.sizes.close(), w.classes.close(), w.changes.close())
		}
	}()
	var values []valued
	for e, err := range g.animals.All() {
		if err != nil {
			return err
		}
		words := cutWords(e[0], depthOfAll)
		by := group{species: words[depthSpecies], sex: words[depthSex], stage: words[depthStage], season: words[depthSeason], site: words[depthSite]}
		text := packed(e[1])
		if err := sexes.add(&by, text.count()); err != nil {
			return err
		}
		for len(text) > 0 {
			w := walks[text.count()]
			if err := w.begin(&by, create, g.units); err != nil {
				return err
			}
			values = text.values(values[:0])
			w.site.add(values)
		}
	}
	if err := sexes.end(); err != nil {
		return err
	}
	sorting.Func(walks, func(a, b *sizeWalk) int { return strings.Compare(a.measurement, b.measurement) })
	var files []string
	for _, w := range walks {
		if err := w.close(depthSpecies); err != nil {
			return err
		}
		of := w.r
		r.Sizes, r.SiteSizes, r.Classes, r.Changes = append(r.Sizes, of.Sizes...), append(r.SiteSizes, of.SiteSizes...), append(r.Classes, of.Classes...), append(r.Changes, of.Changes...)
		r.Incomplete, files = r.Incomplete || of.Incomplete, append(files, of.Files...)
	}
	r.Files = append(files, r.Files...)
	return nil
}

// begin closes the groups that a value is no longer of, and opens its own.
func (w *sizeWalk) begin(by *group, create Create, units map[string]string) error {
	depth := depthSpecies
	if w.begun {
		if depth = w.group.depthTo(by); depth == depthOfAll {
			return nil
		}
		if err := w.close(depth); err != nil {
			return err
		}
	} else if err := w.open(w.r.creating(create), units[w.measurement]); err != nil {
		return err
	}
	w.group, w.begun = *by, true
	switch depth {
	case depthSpecies:
		w.species = nil
		fallthrough
	case depthSex, depthStage:
		w.stage, w.moments = &spread{}, map[string]map[string]statistics.Moments{}
		fallthrough
	case depthSeason:
		w.season = &spread{}
		fallthrough
	default:
		*w.site = spread{values: w.site.values[:0], spare: w.site.spare}
	}
	return nil
}

// depthTo is the depth from which another group differs.
func (g *group) depthTo(o *group) int {
	switch {
	case g.species != o.species:
		return depthSpecies
	case g.sex != o.sex:
		return depthSex
	case g.stage != o.stage:
		return depthStage
	case g.season != o.season:
		return depthSeason
	case g.site != o.site:
		return depthSite
	}
	return depthOfAll
}

// close ends the groups from a depth on, the innermost first.
func (w *sizeWalk) close(depth int) error {
	if !w.begun {
		return nil
	}
	if err := w.write(w.site, w.group.site, w.group.season); err != nil {
		return err
	}
	w.season.merge(w.site)
	if depth > depthSeason {
		return nil
	}
	if err := w.write(w.season, All, w.group.season); err != nil {
		return err
	}
	w.stage.merge(w.season)
	w.species = append(w.species, seasonSpread{w.group.sex, w.group.stage, w.group.season, w.season})
	if depth > depthStage {
		return nil
	}
	if err := errors.Join(w.write(w.stage, All, All), w.compare()); err != nil || depth > depthSpecies {
		return err
	}
	return w.classify()
}

// open begins the files of the measurement.
func (w *sizeWalk) open(create Create, unit string) (err error) {
	if w.sizes, err = create.open("sizes-"+w.measurement+".csv", sizeColumns(unit)); err != nil {
		return err
	}
	if w.classes, err = create.open("classes-"+w.measurement+".csv", classColumns(unit)); err != nil {
		return err
	}
	w.changes, err = create.open("changes-"+w.measurement+".csv", changeColumns(unit))
	return err
}

// write writes the sizes of a group, and keeps its moments for the comparison of
// seasons.
func (w *sizeWalk) write(s *spread, site, season string) error {
	z := Size{Measurement: w.measurement, Species: w.group.species, Sex: w.group.sex, Stage: w.group.stage, Site: site, Season: season,
		Moments: s.moments(), Median: s.median(), Least: s.least(), Most: s.most(), LeftOut: s.leftOut}
	z.Low, z.High = statistics.MeanInterval(z.Moments, w.r.Settings.Confidence)
	if season != All && season != notStated && site != inDoubt && z.N > 0 {
		if w.moments[site] == nil {
			w.moments[site] = map[string]statistics.Moments{}
		}
		w.moments[site][season] = z.Moments
	}
	if site == All {
		keep(w.r, &w.r.Sizes, z)
	} else {
		keep(w.r, &w.r.SiteSizes, z)
	}
	return w.sizes.texts(z.Species, z.Sex, z.Stage, z.Site, z.Season).counts(z.N).
		figures(z.Mean, z.SD, z.Median, z.Least, z.Most, z.Low, z.High).counts(z.LeftOut).end()
}

// compare writes the differences between each season of a group and the one
// before it.
func (w *sizeWalk) compare() error {
	for _, site := range slices.Sorted(maps.Keys(w.moments)) {
		by := w.moments[site]
		seasons := slices.Sorted(maps.Keys(by))
		for i := 1; i < len(seasons); i++ {
			c := Change{Measurement: w.measurement, Species: w.group.species, Sex: w.group.sex, Stage: w.group.stage, Site: site,
				Earlier: seasons[i-1], Later: seasons[i], First: by[seasons[i-1]], Second: by[seasons[i]]}
			c.Difference = statistics.WelchDifference(c.First, c.Second, w.r.Settings.Confidence)
			if site == All {
				keep(w.r, &w.r.Changes, c)
			}
			err := w.changes.texts(c.Species, c.Sex, c.Stage, c.Site, c.Earlier, c.Later).counts(c.First.N, c.Second.N).
				figures(c.First.Mean, c.Second.Mean, c.Value, c.Error, c.Freedom, c.Low, c.High).end()
			if err != nil {
				return err
			}
		}
	}
	return nil
}

// classify counts the animals of a species by classes of size, which are the
// same for all of its sexes, stages and seasons.
func (w *sizeWalk) classify() error {
	all := &spread{}
	for _, s := range w.species {
		all.merge(s.spread)
	}
	width := all.classWidth()
	for _, s := range w.species {
		for i := 0; i < len(s.spread.values); {
			from := floor(s.spread.values[i].value, width)
			c := Class{Measurement: w.measurement, Species: w.group.species, Sex: s.sex, Stage: s.stage, Season: s.season,
				From: from.number(), Below: (from + width).number()}
			for ; i < len(s.spread.values) && s.spread.values[i].value < from+width; i++ {
				c.N += s.spread.values[i].n
			}
			keep(w.r, &w.r.Classes, c)
			if err := w.classes.texts(c.Species, c.Sex, c.Stage, c.Season, decimal(from), decimal(from+width)).counts(c.N).end(); err != nil {
				return err
			}
		}
	}
	return nil
}

// decimal writes a value with all its digits.
func decimal(v value) string { return strconv.FormatFloat(v.number(), 'f', -1, 64) }
