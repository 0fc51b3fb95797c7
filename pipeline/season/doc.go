// Package season summarises the captures of a survey: sizes by species, sex,
// life stage, site and season, sex ratios, captures per night and effort, the
// histories of marked animals, and changes between seasons. It uses values that
// are not in doubt, and counts what it leaves out.
//
// Captures are passed in one by one (Gather.Add) with the doubts on their
// cells. Only counts are kept, of values and animals by group and of captures by
// night, in memory up to a limit and then in sorted runs of a file. Counts are
// merged by adding them, so results are exact, including the median and the
// range, and the same however a survey is cut. For captures of recaptured
// animals, one line each is kept.
//
// Write writes the tables to files, one row at a time, and returns the first
// rows of each for pages. It holds in memory the values of one species, and the
// sites and nights of one season.
//
// An animal counts once a season, at the first capture of its mark. Captures
// per night count every capture.
package season
