// Package lines reads the small tables that people keep beside their sheets:
// CSV in UTF-8 with one line of headings, parted by commas or, as spreadsheets
// write it where the comma is the decimal mark, by semicolons. Lines before
// the headings that start with # are comments.
//
// A table is read by the csv tags of a struct, and every row carries the line
// that it stood in. A heading that is not known, a heading that is missing, a
// row that is too long or too short: each is an *Error that says in which
// file, line and column. Blank lines are passed over.
//
// AppendField writes one field of such a table, for outputs that are too long
// to go through a writer of whole rows; AppendCell does so where people open the
// table in a spreadsheet.
package lines
