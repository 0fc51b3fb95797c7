// Package record holds the types that the stages pass to each other, and
// nothing that belongs to one stage alone.
//
// A sheet is one grid of cells as read. A table is a rectangle found in a
// sheet. A capture is one animal handled once; its readings, its weighing and
// its terms each point back to the cell they came from. A finding is one doubt,
// with the address of the cell that raised it.
//
// The package imports only the standard library, and every other package
// imports it.
package record
