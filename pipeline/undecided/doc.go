// Package undecided leaves out of publication what nobody decided. It stands
// between the last judging stage and standardising.
//
// A measurement, a date or a position with an error on its cell is undecided
// until the sheet is mended or a person replaces, clears or confirms it. Cells
// gathers the cells that errors are on; Mark marks the values of a capture that
// were read from one, and those that follow from such a value: a mass whose
// gross or tare is undecided, an index worked out from the animal's readings,
// the other terms of the same statement (the longitude with the latitude, the
// year with the date). Nothing is taken away: what was written stays with the
// value, and the writers put it where nobody takes it for a measurement.
package undecided
