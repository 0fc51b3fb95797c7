package season

import (
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

// sexWalk goes through the counts of one species after the other.
type sexWalk struct {
	r       *Results
	f       *file
	species string
	stages  map[string]map[string]map[string]SexRatio // by stage, season and site
}

// add takes the animals of a group in.
func (w *sexWalk) add(by *group, n int) error {
	if w.stages == nil || w.species != by.species {
		if err := w.end(); err != nil {
			return err
		}
		w.species, w.stages = by.species, map[string]map[string]map[string]SexRatio{}
	}
	one := SexRatio{Animals: n}
	switch strings.ToLower(by.sex) {
	case "male":
		one.Males = n
	case "female":
		one.Females = n
	}
	seasons := w.stages[by.stage]
	if seasons == nil {
		seasons = map[string]map[string]SexRatio{}
		w.stages[by.stage] = seasons
	}
	for _, at := range [][2]string{{by.season, by.site}, {by.season, All}, {All, All}} {
		if seasons[at[0]] == nil {
			seasons[at[0]] = map[string]SexRatio{}
		}
		s := seasons[at[0]][at[1]]
		s.add(one)
		seasons[at[0]][at[1]] = s
	}
	return nil
}

// end writes the rows of a species.
func (w *sexWalk) end() error {
	for _, stage := range slices.Sorted(maps.Keys(w.stages)) {
		if err := w.write(stage, w.stages[stage]); err != nil {
			return err
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

// write writes the rows of a stage, from what was counted by season and site.
func (w *sexWalk) write(stage string, seasons map[string]map[string]SexRatio) error {
	for _, season := range lastAll(seasons) {
		for _, site := range lastAll(seasons[season]) {
			s := seasons[season][site]
			s.Species, s.Stage, s.Season, s.Site = w.species, stage, season, site
			s.Share = float64(s.Males) / float64(s.Males+s.Females)
			s.Low, s.High = statistics.WilsonInterval(s.Males, s.Males+s.Females, w.r.Settings.Confidence)
			if site == All {
				keep(w.r, &w.r.Sexes, s)
			}
			err := w.f.texts(s.Species, s.Stage, s.Site, s.Season).counts(s.Animals, s.Males, s.Females, s.Other()).figures(s.Share, s.Low, s.High).end()
			if err != nil {
				return err
			}
		}
	}
	return nil
}
