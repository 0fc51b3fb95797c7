// Package observers tells how well people measure: it compares repeated
// readings of the same animals, or of models with known sizes, by one or several
// observers. It takes captures and a table of known sizes and returns one Result
// per call; it writes and prints nothing.
//
// An observer is the person that a column belongs to, or else the one name in
// measurementDeterminedBy, or else in recordedBy. An individual is an
// organismID, and a row without one is an individual of its own where it holds
// repeats; a live one counts only within one day, since animals grow (see
// Settings.AcrossDays).
//
// For each measurement: the error between observers and the intraclass
// correlations. For each observer and measurement: the error of repeats, bias
// and limits of agreement against the known sizes or the instructor, the verdict
// against the pass line, and what to practise next. The statistics are those of
// the package statistics, which names the papers.
package observers
