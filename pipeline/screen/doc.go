// Package screen compares measurements with those of similar animals, and reports
// which are doubtful, why, and what they probably were.
//
// It summarises, then judges. A Summary gathers the log measurements of each
// taxon and merges exactly, so parts of a survey can be gathered separately.
// Fitting it gives, for each taxon, the size of every group (life stage × sex)
// by median and median absolute deviation, the robust line of every other
// measurement on size, and the correlation of the residuals by the minimum
// covariance determinant. Together these say how likely any row of measurements
// is. An unlikely row is explained by each common slip in each of its cells, a
// cell that is wrong in some other way, an animal of unusual size, an animal
// unlike its group, or nothing wrong at all. Each explanation has a prior and a
// likelihood, and the posterior decides which cell is reported and what is
// suggested. So one cause gives one finding, and a wrong body length does not
// make every limb look wrong.
//
// Judge looks at one capture. Screen judges all of them and looks for causes
// beyond the single capture. A survey too large for memory is judged part by
// part: Screening gathers what concerns the whole (Causes); Duplicates and
// Marks find the pairs of captures, near or far, to compare. Nothing depends on
// the order of captures. Nothing is changed: suggestions are for people.
//
// Start reading at screen.go, then summary.go, model.go, view.go, explain.go,
// and screening.go.
package screen
