// Package undecided keeps undecided values out of publication. It comes between
// the last judging stage and standardising.
//
// A measurement, date or position with an error on its cell is undecided until
// the sheet is corrected or a person replaces, clears or confirms it. Cells
// gathers the cells with errors. Mark marks the values of a capture that were
// read from one, and those that follow from such a value: a mass whose gross or
// tare is undecided, an index computed from the animal's readings, the other
// terms of the same statement (the longitude with the latitude, the year with
// the date). Nothing is removed: the text stays with the value, and the writers
// put it where nobody mistakes it for a measurement.
package undecided
