// Package remedy applies people's decisions about single cells. It belongs to
// the fourth stage, between map and normalise.
//
// A remedy is one row of remedies.csv, or of the workbook beside it. It names a
// cell, by its address or by the key of a capture and a field, or several cells
// with one cause. It says what was found there, what to do (replace the text,
// clear it, confirm it against one rule, or drop the whole capture), and who
// decided so, when, and why. The sheets themselves are never changed.
//
// A remedy applies only to the text that it was made for. If a cell to be
// replaced or cleared holds something else, Apply returns Mismatches and
// changes nothing at all. If a confirmed cell has changed, the confirmation
// lapses and a note says so. A row without an action is a proposal that nobody
// has decided yet: it does nothing. A remedy that matches no cell is a finding.
//
// The original stays beside the decision: the cell keeps it, and Trace writes
// it into the remarks. Propose makes rows from findings for a person to decide
// on, Write and WriteBook write them, Revise enters decisions. The package
// opens no files and reads no clock.
package remedy
