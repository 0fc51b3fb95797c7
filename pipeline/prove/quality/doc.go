// Package quality judges one Darwin Core record by the published tests of the
// Biodiversity Data Quality interest group (draft TDWG standard, repository of
// 2026-07-29): validations, issues, measures and amendments.
//
// [Tests] is the table of them. Labels, identifiers, terms and parameters come
// from schemas/quality_tests.csv; each test is one small function, found in the
// file of its subject: presence.go, vocabulary.go, numbers.go, dates.go,
// datesfill.go, verbatim.go, country.go, coordinates.go, datum.go, names.go,
// licence.go, tally.go. A test takes a [Record] and [Params] and gives a [Response] whose
// status and result are written as the published validation data write them.
//
// A test that names a source authority answers from data embedded in this
// program. Where a parameter names an authority that is not embedded, the
// answer is EXTERNAL_PREREQUISITES_NOT_MET, never a guess. [LeftOut] lists the
// tests that cannot be answered without a service on line, and why.
//
// What is empty follows the standard: nothing, or only characters from U+0000
// to U+0020. A string such as "null" is a value. Amendments are proposals: this
// package changes no record.
package quality
