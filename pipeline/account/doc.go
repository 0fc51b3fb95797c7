// Package account compares what is published with what was written: every
// non-blank cell of every table must be accounted for.
//
// It counts independently from both ends. At the sheets' end, the cells of each
// column are counted as the tables are read (Book.Add). At the archive's end,
// the rows of each capture are read as CSV bytes as they go into the files, and
// each cell of the capture, as written, is looked for in them (Reader.Rows): in
// the term that its column means and the verbatim term beside it, in remarks,
// in the rows of measurements, in dynamicProperties. A cell that is not found
// there is acceptable only if it is a missing-value mark, was changed by a
// remedy, or belongs to a withheld capture. Book.Settle compares the two ends.
// A lost cell, or cells whose rows never reached the archive, are an error, and
// nothing is released.
package account
