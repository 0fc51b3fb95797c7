// Package vocabulary knows the controlled words of the trade: sexes, life
// stages, bases of record and their like, the characters that are measured on
// small vertebrates, and the words that stand over columns.
//
// A word in a cell is looked up in one [List]. The look-up does not mind case,
// spacing, punctuation or accents, and the mapping's own words come before the
// list's. A word that is not known, that belongs in another column ("juv" under
// Sex), or that the writer doubted ("M?") comes back with a problem. A near
// word is offered as a suggestion and never put in its place.
//
// The words are data: mappings/sex.csv, mappings/life_stage.csv and so on, one
// line per value and language; mappings/measurements.csv for the characters;
// mappings/headings.csv for the headings. To teach the program a word, add it
// there; the tests of this package read every file and refuse a word that
// stands for two values.
//
// The package takes text and returns values and problems. It reads no file but
// the embedded ones and keeps no state.
package vocabulary
