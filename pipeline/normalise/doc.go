// Package normalise is the fourth stage: it turns the cells of a mapped table
// into captures, one row at a time, with the original text beside every value.
//
// Each kind of value has its own room (quantity, calendar, place, taxon,
// vocabulary). This package decides which room a cell goes to, puts the result
// into the capture, and turns problems into findings with an address. What
// depends on a whole column, the decimal mark and the order of day and month,
// is gathered before the first row is read.
//
// Table reads a whole table, Rows one that comes in chunks. What all rows share
// is worked out once (plan.go), repeated texts are remembered (memo.go), and
// the captures of a chunk are allocated in a few large slabs (slab.go).
package normalise
