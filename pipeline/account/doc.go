// Package account holds what is published against what was written: every cell
// of every table that holds something has to be accounted for.
//
// It counts from both ends, which know nothing of each other. At the sheets'
// end the cells of each column are counted as the tables are read (Book.Add). At
// the archive's end the rows of each capture are read as they go into the files,
// as bytes of CSV, and each cell of the capture, as it was written, is looked
// for in them (Reader.Rows): in the term that its column means and the verbatim
// term beside it, in remarks, in the rows of measurements, in dynamicProperties.
// What is not found there is only in order if it is a mark for nothing, a
// person's remedy has taken its place, or its capture is withheld. Book.Settle
// compares the two ends; a cell that was lost, and cells whose rows never came to
// the archive, are an error, and nothing is released.
package account
