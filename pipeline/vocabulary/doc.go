// Package vocabulary knows the controlled words of the trade: sexes, life
// stages, bases of record and so on, the characters measured on small
// vertebrates, and the words used as headings.
//
// A word in a cell is looked up in one [List]. The look-up ignores case,
// spacing, punctuation and accents, and the mapping's own words come before the
// list's. A word that is unknown, that belongs in another column ("juv" under
// Sex), or that the writer doubted ("M?") comes back with a problem. A similar
// word is only suggested and never replaces it.
//
// The words are data: mappings/sex.csv, mappings/life_stage.csv and so on, one
// line per value and language; mappings/measurements.csv for the characters;
// mappings/headings.csv for the headings. To teach the program a word, add it
// there; the tests of this package read every file and reject a word with two
// values.
//
// The package takes text and returns values and problems. It reads only the
// embedded files and keeps no state.
package vocabulary
