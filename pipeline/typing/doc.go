// Package typing handles captures that are typed in: the file that keeps their
// rows, and hints about a row while it is typed, besides the doubts that the
// stages find.
//
// A file of typed rows is CSV with the headings of a form in its first line,
// and it only grows. Append returns the bytes that add a row, and recognises a
// row that was sent twice by its identifier. A last line cut off by a crash is
// distinguished from a complete one: its row was never shown as kept.
//
// Say compares a capture with the earlier captures of its animal and with those
// of the evening. Nothing here forbids anything, and nothing is changed.
package typing
