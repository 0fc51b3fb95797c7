// Package season says what the captures of a survey tell: sizes by species,
// sex, life stage, site and season, sex ratios, captures per night and effort,
// the histories of marked animals, and one season against another. It works from
// values that are not in doubt, and counts what it leaves out.
//
// Captures are handed over one by one (Gather.Add) with the doubts on their
// cells. What is kept of them are counts: of each value by its group, of animals
// by sex, of captures by night, in memory up to a bound and then in sorted
// runs of a file. Counts merge by being added up, so that results are exact, the
// median and the range among them, and the same however a survey is cut. Of the
// captures of animals that were caught more than once a line each is kept.
//
// Write puts the tables into files, one row at a time, and returns the first rows
// of each for pages. In memory are then the values of one species and
// measurement, and the sites of one season.
//
// An animal counts once a season: with the first capture of its mark. Every
// capture counts in captures per night.
package season
