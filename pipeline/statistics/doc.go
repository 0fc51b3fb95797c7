// Package statistics holds the mathematics that judging needs, free of any
// knowledge of animals: numbers in, numbers out.
//
// Robust location and scale, with a sample that merges exactly (robust_*);
// robust and symmetric straight lines (line_*); tests for single outliers in
// small normal samples (outlier_*); the minimum covariance determinant and the
// distances that come from it (mcd_*); how a hand prefers certain last digits
// (digits_*); agreement between observers (agreement_*); discriminants
// (discriminant_*); body condition (condition_*).
//
// Every function names the paper or the algorithm that it follows, gives the
// shape of what it takes, and says what it answers where there is too little
// to go on: NaN for a single number, an error for a fit. Nothing is random:
// where an algorithm draws subsets, the draws come from a fixed seed and the
// data are first put into a fixed order, so that the same values in any order
// give the same bits. Arguments are never changed.
package statistics
