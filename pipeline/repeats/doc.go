// Package repeats learns from a survey itself how well one person's repeats of
// a measurement on one animal agree, and gives the repeats the accuracy that
// follows.
//
// The standard deviation of single repeats is pooled over animals: the squares
// of the deviations from each animal's mean over their degrees of freedom
// (JCGM 100:2008, 4.2.4). A repeat that is far off is a slip and no scatter, so
// an animal whose repeats differ by more than a fifth of their mean is left out.
// A measurement needs ten degrees of freedom, with which the standard deviation
// is itself known to a quarter (JCGM 100:2008, E.4.3).
//
// A Summary of parts can be merged; Fill looks at one capture at a time.
package repeats
