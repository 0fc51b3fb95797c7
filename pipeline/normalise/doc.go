// Package normalise is the fourth stage: it turns the cells of a mapped table
// into captures, one row at a time, with the text that was written beside
// every value.
//
// Each kind of value has a room of its own (quantity, calendar, place, taxon,
// vocabulary); this package decides which room a cell goes to, puts what comes
// back into the capture, and turns problems into findings with an address.
// What can only be told from a whole column, the decimal mark and the order of
// day and month, is gathered before the first row is read.
//
// Table reads a whole table, Rows one that comes in chunks. What all rows have
// in common is worked out once (plan.go), what was written before is remembered
// (memo.go), and the captures of a chunk are made in a few large pieces of
// memory (slab.go).
package normalise
