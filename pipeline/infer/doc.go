// Package infer draws cautious conclusions from screened captures (stage 7): an
// indication of sex, whether the proportions fit the recorded species, and body
// condition. It takes captures and returns values and findings. It changes no
// capture, and the order of the captures does not matter.
//
// Sex compares recorded characters with the rules of mappings/dimorphism.csv. A
// ratio counts only if it is beyond the threshold by more than its own
// uncertainty. A recorded sex is never overwritten.
//
// Species is learnt from verified captures and reference specimens (Training),
// as log-shape ratios and size (Mosimann 1970). Each capture is classified by a
// discriminant that was fitted without it (Model). Posterior and typicality are
// separate: "looks like another" and "looks like none" are two findings.
//
// Condition is the scaled mass index and the residual index by taxon, life
// stage and sex (ConditionGroup), published as derived readings.
//
// Inference goes over a survey in parts, in several passes; Infer does the same
// for captures that are all in memory. What is learnt does not depend on the
// order of the captures or on the cut. Groups and taxa of more than 20,000
// captures are learnt from 20,000 chosen by the hash of their IDs. Measurements
// settle neither a species nor a sex, and every text of this package says so.
package infer
