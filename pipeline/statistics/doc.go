// Package statistics holds the mathematics that judging needs, with no
// knowledge of animals: numbers in, numbers out.
//
// It has robust location and scale, with a sample that merges exactly
// (robust_*); robust and symmetric straight lines (line_*); tests for single
// outliers in small normal samples (outlier_*); the minimum covariance
// determinant and its distances (mcd_*); last-digit preference (digits_*);
// agreement between observers (agreement_*); discriminants (discriminant_*);
// body condition (condition_*).
//
// Every function cites the paper or algorithm that it follows, gives the shape
// of its arguments, and says what it returns if there are too few data: NaN for
// a single number, an error for a fit. Nothing is random: if an algorithm draws
// subsets, the draws come from a fixed seed and the data are first put into a
// fixed order, so the same values in any order give the same bits. Arguments
// are never changed.
package statistics
