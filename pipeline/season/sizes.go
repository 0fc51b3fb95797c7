package season

import (
	"errors"
	"maps"
	"slices"
	"strconv"
	"strings"

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

// sizeWalk goes through the counted values in their order and closes a group
// when its last value has come.
type sizeWalk struct {
	r      *Results
	create Create
	before [4]int // rows that the lists of pages had when the measurement began

	words   [depthOfAll]string // measurement, species, sex, stage, season, site
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
	depthMeasurement = iota
	depthSpecies
	depthSex
	depthStage
	depthSeason
	depthSite
	depthOfAll
)

func (g *Gather) writeSizes(create Create, r *Results) (err error) {
	w := &sizeWalk{r: r, create: create, site: &spread{}}
	defer func() { err = errors.Join(err, w.sizes.close(), w.classes.close(), w.changes.close()) }()
	for e, err := range g.sizes.All() {
		if err != nil {
			return err
		}
		if err := w.begin(e[0]); err != nil {
			return err
		}
		w.site.unpack(e[1])
	}
	return w.close(depthMeasurement)
}

// begin closes the groups that a value is no longer of, and opens its own.
func (w *sizeWalk) begin(key string) error {
	var words [depthOfAll]string
	depth := depthOfAll
	for i := range words {
		if words[i], key, _ = strings.Cut(key, end); words[i] != w.words[i] || !w.begun {
			depth = min(depth, i)
		}
	}
	if depth == depthOfAll {
		return nil
	}
	if err := w.close(depth); err != nil {
		return err
	}
	w.words, w.begun = words, true
	switch depth {
	case depthMeasurement:
		if err := w.open(words[depthMeasurement]); err != nil {
			return err
		}
		fallthrough
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
		*w.site = spread{values: w.site.values[:0]}
	}
	return nil
}

// close ends the groups from a depth on, the innermost first.
func (w *sizeWalk) close(depth int) error {
	if !w.begun {
		return nil
	}
	season := w.words[depthSeason]
	if err := w.write(w.site, w.words[depthSite], season); err != nil {
		return err
	}
	w.season.merge(w.site)
	if depth > depthSeason {
		return nil
	}
	if err := w.write(w.season, All, season); err != nil {
		return err
	}
	w.stage.merge(w.season)
	w.species = append(w.species, seasonSpread{w.words[depthSex], w.words[depthStage], season, w.season})
	if depth > depthStage {
		return nil
	}
	if err := errors.Join(w.write(w.stage, All, All), w.compare()); err != nil {
		return err
	}
	if depth > depthSpecies {
		return nil
	}
	if err := w.classify(); err != nil || depth > depthMeasurement {
		return err
	}
	return errors.Join(w.sizes.close(), w.classes.close(), w.changes.close())
}

// open begins the files of a measurement.
func (w *sizeWalk) open(measurement string) (err error) {
	unit := w.r.Units[measurement]
	w.before = [4]int{len(w.r.Sizes), len(w.r.SiteSizes), len(w.r.Classes), len(w.r.Changes)}
	if w.sizes, err = w.create.open("sizes-"+measurement+".csv", sizeColumns(unit)); err != nil {
		return err
	}
	if w.classes, err = w.create.open("classes-"+measurement+".csv", classColumns(unit)); err != nil {
		return err
	}
	w.changes, err = w.create.open("changes-"+measurement+".csv", changeColumns(unit))
	return err
}

// write writes the sizes of a group, and keeps its moments for the comparison of
// seasons.
func (w *sizeWalk) write(s *spread, site, season string) error {
	s.settle()
	z := Size{Measurement: w.words[depthMeasurement], Species: w.words[depthSpecies], Sex: w.words[depthSex], Stage: w.words[depthStage], Site: site, Season: season,
		Moments: s.moments(), Median: s.median(), Least: s.least(), Most: s.most(), LeftOut: s.leftOut}
	z.Low, z.High = statistics.MeanInterval(z.Moments, w.r.Settings.Confidence)
	if season != All && season != notStated && site != inDoubt && z.N > 0 {
		if w.moments[site] == nil {
			w.moments[site] = map[string]statistics.Moments{}
		}
		w.moments[site][season] = z.Moments
	}
	if site == All {
		keep(w.r, &w.r.Sizes, w.before[0], z)
	} else {
		keep(w.r, &w.r.SiteSizes, w.before[1], z)
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
			c := Change{Measurement: w.words[depthMeasurement], Species: w.words[depthSpecies], Sex: w.words[depthSex], Stage: w.words[depthStage], Site: site,
				Earlier: seasons[i-1], Later: seasons[i], First: by[seasons[i-1]], Second: by[seasons[i]]}
			c.Difference = statistics.WelchDifference(c.First, c.Second, w.r.Settings.Confidence)
			if site == All {
				keep(w.r, &w.r.Changes, w.before[3], c)
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
	all.settle()
	width := all.classWidth()
	for _, s := range w.species {
		for i := 0; i < len(s.spread.values); {
			from := floor(s.spread.values[i].value, width)
			c := Class{Measurement: w.words[depthMeasurement], Species: w.words[depthSpecies], Sex: s.sex, Stage: s.stage, Season: s.season,
				From: from.number(), Below: (from + width).number()}
			for ; i < len(s.spread.values) && s.spread.values[i].value < from+width; i++ {
				c.N += s.spread.values[i].n
			}
			keep(w.r, &w.r.Classes, w.before[2], c)
			if err := w.classes.texts(c.Species, c.Sex, c.Stage, c.Season, decimal(from), decimal(from+width)).counts(c.N).end(); err != nil {
				return err
			}
		}
	}
	return nil
}

// decimal writes a value with all its digits.
func decimal(v value) string { return strconv.FormatFloat(v.number(), 'f', -1, 64) }
