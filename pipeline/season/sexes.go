package season

import (
	"errors"
	"maps"
	"slices"
	"strings"

	"spadefoot/pipeline/statistics"
)

// SexRatio counts the animals of a group by sex. Low and High are the limits of
// the share of males among males and females.
type SexRatio struct {
	Species, Stage, Site, Season string
	Animals, Males, Females      int
	Share, Low, High             float64
}

// Other is the number of animals that are of neither sex, or whose sex is not
// stated.
func (s SexRatio) Other() int { return s.Animals - s.Males - s.Females }

func (s *SexRatio) add(o SexRatio) {
	s.Animals, s.Males, s.Females = s.Animals+o.Animals, s.Males+o.Males, s.Females+o.Females
}

// sexWalk goes through the counts of one species and stage, season after season.
type sexWalk struct {
	r       *Results
	f       *file
	words   []string                       // species, stage
	seasons map[string]map[string]SexRatio // by season and site
}

func (g *Gather) writeSexes(create Create, r *Results) error {
	f, err := create.open("sexes.csv", sexColumns)
	if err != nil {
		return err
	}
	w := &sexWalk{r: r, f: f}
	for c, err := range g.animals.all() {
		if err != nil {
			return errors.Join(err, f.close())
		}
		words := cutWords(c.key, 5)
		if w.words == nil || !slices.Equal(w.words, words[:2]) {
			if err := w.end(); err != nil {
				return errors.Join(err, f.close())
			}
			w.words, w.seasons = words[:2], map[string]map[string]SexRatio{}
		}
		one := SexRatio{Animals: c.n}
		switch strings.ToLower(words[4]) {
		case "male":
			one.Males = c.n
		case "female":
			one.Females = c.n
		}
		for _, at := range [][2]string{{words[2], words[3]}, {words[2], All}, {All, All}} {
			if w.seasons[at[0]] == nil {
				w.seasons[at[0]] = map[string]SexRatio{}
			}
			s := w.seasons[at[0]][at[1]]
			s.add(one)
			w.seasons[at[0]][at[1]] = s
		}
	}
	return errors.Join(w.end(), f.close())
}

// end writes the rows of a species and stage.
func (w *sexWalk) end() error {
	for _, season := range lastAll(w.seasons) {
		for _, site := range lastAll(w.seasons[season]) {
			s := w.seasons[season][site]
			s.Species, s.Stage, s.Season, s.Site = w.words[0], w.words[1], season, site
			s.Share = float64(s.Males) / float64(s.Males+s.Females)
			s.Low, s.High = statistics.WilsonInterval(s.Males, s.Males+s.Females, w.r.Settings.Confidence)
			if site == All {
				keep(w.r, &w.r.Sexes, 0, s)
			}
			err := w.f.texts(s.Species, s.Stage, s.Site, s.Season).counts(s.Animals, s.Males, s.Females, s.Other()).figures(s.Share, s.Low, s.High).end()
			if err != nil {
				return err
			}
		}
	}
	return nil
}

// lastAll returns the keys of a map in order, with that for all of them last.
func lastAll[T any](m map[string]T) []string {
	keys := slices.Sorted(maps.Keys(m))
	if i := slices.Index(keys, All); i >= 0 {
		keys = append(slices.Delete(keys, i, i+1), All)
	}
	return keys
}
