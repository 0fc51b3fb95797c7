// Package quality judges one Darwin Core record by the published tests of the
// Biodiversity Data Quality interest group (draft TDWG standard, repository of
// 2026-07-29): validations, issues, measures and amendments.
//
// [Tests] is the table of them. Labels, identifiers, terms and parameters come
// from schemas/quality_tests.csv; each test is one small function, found in the
// file of its subject: presence.go, vocabulary.go, numbers.go, dates.go,
// datesfill.go, verbatim.go, country.go, coordinates.go, datum.go, names.go,
// licence.go, taxatests.go, marine.go, divisions.go,
// centroids.go, annotation.go, tally.go. A test takes a [Record] and [Params] and returns a [Response] whose
// status and result are written as the published validation data write them.
//
// A test that names a source authority answers from data embedded in this
// program, or from a list that the user supplies ([Sources]). Where a parameter
// names an authority that is not there, the answer is
// EXTERNAL_PREREQUISITES_NOT_MET, if the description of the test has that
// answer, and never a guess.
//
// [Inquiry] asks tests of many records; [ResponseWriter] writes the answers,
// [Measures] sums them up.
//
// What is empty follows the standard: nothing, or only characters from U+0000
// to U+0020. A string such as "null" is a value. Amendments are proposals: this
// package changes no record.
package quality
