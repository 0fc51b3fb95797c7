// Package store keeps the captures and findings of a survey that is too large
// for memory, in files of a folder that the run owns.
//
// Captures are stored part by part, a part being a few thousand consecutive
// captures, and read back part by part or one by one, as often as a pass over
// the survey needs them. What comes back equals what was stored. Findings does
// the same for findings, which it returns in output order. EqualTexts finds
// equal texts among many.
//
// Texts that occur again and again (names of terms and units, files, the words
// of a vocabulary) are written once, as words, and so is what all values or
// readings of a column have in common, as a form: the field that values share. A
// column of the capture's own sheet is written without the sheet, so that all
// sheets with the same columns have the same forms. Memory is bounded by the words
// and forms, a few bytes per part and, in EqualTexts, by a fixed number of texts.
// The files are not output and have no stable format.
package store
