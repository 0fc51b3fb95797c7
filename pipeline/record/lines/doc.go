// Package lines reads the small tables that people keep beside their sheets:
// CSV in UTF-8 with one line of headings, separated by commas or, as
// spreadsheets write it where the comma is the decimal mark, by semicolons.
// Lines before the headings that start with # are comments.
//
// A table is read by the csv tags of a struct, and every row carries its line
// number. An unknown heading, a missing heading, or a row that is too long or
// too short gives an *Error with file, line and column. Blank lines are
// skipped.
//
// AppendField writes one field of such a table, for outputs too long for a
// writer of whole rows; AppendCell does so for tables that people open in a
// spreadsheet.
package lines
