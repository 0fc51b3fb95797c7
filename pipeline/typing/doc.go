// Package typing is for captures that are typed in: the file that their rows
// are kept in, and what there is to say of a row while it is typed, beside the
// doubts that the stages find.
//
// A file of typed rows is CSV with the headings of a form in its first line, and
// it only grows. Append gives the bytes that add a row, and knows a row that was
// sent twice by its identifier. A last line that a crash cut off is told from a
// whole one: its row was never shown as kept.
//
// Say compares a capture with the captures of its animal and with those of the
// evening. Nothing here forbids anything, and nothing is changed.
package typing
