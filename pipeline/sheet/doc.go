// Package sheet is the first stage, read: files to sheets of verbatim cells.
//
// The content of a file, not its name, decides what it is: delimited text
// (comma, tab, semicolon, bar; UTF-8, UTF-16 or an 8-bit code page), XLSX, XLS
// as BIFF5 or BIFF8, or ODS. Read returns every sheet of a file; a Flow returns
// a text file in chunks of rows, so that a large one is never held in memory.
//
// A cell's Text is what a person wrote. If a workbook stores a number, Text is
// its decimal form with the zeros, percent sign or unit that its number format
// shows; a date is ISO 8601. The same sheet gives the same texts from all three
// kinds of workbook. Rows keep the line or row number of the file, so every
// finding points at a place that an editor or a spreadsheet program can go to.
//
// Whatever had to be guessed (encoding, separator) is a finding with its
// confidence and can be set in Options. Text that breaks the rules of RFC 4180
// is kept and reported: a stray quotation mark stays in its cell, a row of odd
// width keeps its cells, an unclosed quotation mark costs one cell and not the
// rest of the file. A byte that is invalid in the encoding is an Error with row
// and column; nothing silently becomes U+FFFD.
//
// The files in reading order: read, kind; for text: text, decode, wide,
// encoding, evidence, separator, splitter, quote, widths, flow; for workbooks:
// zip, xlsx, ods, xls with their parts; then number, format, serial, grid,
// judge.
package sheet
