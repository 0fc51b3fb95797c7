// Package repeats learns from a survey itself how well one person's repeats of
// a measurement on one animal agree, and gives the repeats the resulting
// accuracy.
//
// The standard deviation of single repeats is pooled over animals: the squared
// deviations from each animal's mean over their degrees of freedom (JCGM
// 100:2008, 4.2.4). A repeat that is far off is a slip, not scatter, so an
// animal whose repeats differ by more than a fifth of their mean is left out. A
// measurement needs ten degrees of freedom, at which the standard deviation
// itself is known to a quarter (JCGM 100:2008, E.4.3).
//
// Summaries of parts can be merged; Fill looks at one capture at a time.
package repeats
