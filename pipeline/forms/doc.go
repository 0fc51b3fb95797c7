// Package forms makes what a team writes on: a workbook to type captures into,
// a page to print and take into the field, and the mapping that lets a run read
// the workbook without further work.
//
// [New] plans a form. From what a survey knows (the headings of its mapping
// with their meanings, words, names, sites, bags, instruments, limits) it
// decides on the columns: each heading with its unit, one column for each
// replicate, and a column for every term that identifies a capture or a session
// and has none yet. The three outputs come from the same columns:
//
//   - [Form.Workbook] describes the workbook (tabs, lists, checks of typed
//     cells, widths) and [Workbook.Bytes] writes it. Cells hold text, so that
//     57.0 stays 57.0 and no number turns into a date. Every check warns and
//     none forbids: the person may be right.
//   - [Form.Page] writes the field sheet as HTML for A4 or letter, laid out in
//     millimetres: boxes for the session, the instruments with their zero and
//     check mass, the captures, the words, the cautions.
//   - [Form.Mapping] writes the mapping of exactly these headings.
//
// The package takes values and returns values; it reads and writes no files.
package forms
