// Package observers measures how well people measure: it compares repeated
// readings of the same animals, or of models of known size, by one or several
// observers. It takes captures and a table of known sizes and returns one
// Result per call; it writes and prints nothing.
//
// An observer is the person that a column belongs to, or else the one name in
// measurementDeterminedBy, or else in recordedBy. An individual is an
// organismID; a row without one is its own individual if it holds
// repeats. A live animal counts only within one day, because animals grow (see
// Settings.AcrossDays).
//
// For each measurement it gives the error between observers and the intraclass
// correlations; for each observer and measurement the error of repeats, bias
// and limits of agreement against the known sizes or the instructor, the
// verdict against the pass mark, and what to practise next. The statistics are
// those of package statistics, which cites the papers.
package observers
