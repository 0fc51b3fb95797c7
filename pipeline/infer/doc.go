// Package infer draws careful conclusions from screened captures (stage 7): an
// indication of sex, whether the shape fits the recorded species, and body
// condition. It takes captures and returns values and findings; it changes no
// capture, and the order of the captures doesn't matter.
//
// Sex compares recorded characters with the rules of mappings/dimorphism.csv.
// A ratio counts only when it lies beyond the threshold by more than its own
// uncertainty; a recorded sex is never overwritten.
//
// Species is learnt from verified captures and reference specimens (Training),
// as log-shape ratios and size (Mosimann 1970), and each capture is placed by
// a discriminant that has not seen it (Model). Posterior and typicality are
// told apart: "looks like another" and "looks like none" are two findings.
//
// Condition is the scaled mass index and the residual index by taxon, life
// stage and sex (ConditionGroup), published as derived readings.
//
// A survey comes in parts and goes by in passes (Inference); Infer is the same
// for captures that are all at hand. What is learnt does not depend on the
// order of the captures or on the cut. Groups and taxa of more than 20,000
// captures are learnt from 20,000 that are chosen by the hash of their IDs.
// Measurements settle neither a species nor a sex, and every text of this
// package says so.
package infer
