// Package layout is the second stage: it finds the tables in a sheet.
//
// A table is a rectangle of data rows under one to four heading rows, with
// the notes around it that belong to its rows. In words, a sheet may be
//
//	Frogs of Marrow Creek                        a title or two
//	Site: Tern Slough      Observer: I. Varga    a block of names and values
//	            Lengths (mm)        Mass         group headings
//	No   Date   SVL  Tibia  HW      gross  bag   headings
//	            mm   mm     mm      g      g     a row of units
//	1    3 May  61   ...                         rows of captures
//	2    "      58   ...                         ditto: as above
//	Pond B                                       a section: holds for the rows after it
//	3    4 May  64   ...
//	No   Date   SVL  ...                         the headings again, left out
//	mean        61   ...                         a summary row, left out
//	weather turned bad at ten                    a trailing remark, left out
//
// or several such tables under or beside one another, or the whole turned by a
// quarter so that animals stand as columns. The headings of the mapping are
// the best evidence for where a table begins; without one, the words that
// usually appear over columns are, then words over numbers. Nothing is torn
// apart without evidence: a blank column or row alone parts no table.
//
// Nothing is dropped in silence. Every cell that holds something is in a row,
// a heading or a label of a table, or its text is in a finding. Every table
// carries its rectangle, its heading rows and its labels, and each decision can
// be overridden through Options.
//
// The pictures of the layouts are beside the functions that find them. In
// the order of the work: kind.go what a cell looks like; grid.go what a row
// looks like; turned.go animals as columns; heads.go, known.go, shape.go,
// stated.go where tables begin; heading.go, repeats.go heading rows; over.go,
// preamble.go, labels.go, name.go what is above them; beside.go, aside.go
// tables and boxes side by side; columns.go, body.go, rowkinds.go the table
// itself; carry.go ditto marks and blanks; leftout.go what no table holds; more.go,
// window.go, carry_on.go sheets that come in chunks.
package layout
