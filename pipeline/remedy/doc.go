// Package remedy applies what people decided about single cells. It belongs to
// the fourth stage, between map and normalise.
//
// A remedy is one row of remedies.csv, or of the workbook beside it. It names a
// cell, by its address or by the key of a capture and a field, or several cells
// of one cause, and says what was found there and what is to be done: replace
// the text, clear it, confirm it against one rule, or drop the whole capture; and
// who decided so, when, and why. The sheets themselves are never touched.
//
// A remedy holds only for the text that it was made for. Where a cell to be
// replaced or cleared holds something else, Apply gives Mismatches and changes
// nothing at all; where a confirmed cell changed, the confirmation lapses and
// a note says so. A row without an action is a proposal that nobody decided
// yet: it does nothing. A remedy that finds no cell is a finding.
//
// What was written stays beside what was decided: the cell keeps it, Trace
// writes it into the remarks. Propose makes rows from findings for a person
// to decide on, Write and WriteBook write them, Revise puts decisions in. The
// package opens no files and knows no clock.
package remedy
