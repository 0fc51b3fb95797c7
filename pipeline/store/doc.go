// Package store keeps the captures and the findings of a survey that is too
// large for memory in files of a folder that the run owns.
//
// Captures are put into the store part by part, a part being some thousands of
// consecutive captures, and read back part by part or one by one, as often as
// a pass over the survey needs them. What comes back is equal to what was put
// there. Findings does the same for findings, which it gives back in the order of
// the outputs. EqualTexts finds equal texts among many.
//
// Texts that occur again and again (names of terms and units, files, the
// words of a vocabulary) are written once, as words; what is kept in memory is
// bounded by the words, a few bytes per part and, in EqualTexts, by a fixed number
// of texts. The files are no output and have no stable form.
package store
