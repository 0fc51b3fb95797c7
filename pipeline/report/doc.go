// Package report is the last stage: it writes what was found, for people and
// for machines. captures.csv holds one row per capture, run.json how the run was
// made, and report.html the same for reading; package findings lists the findings
// and package plot draws the pictures; package agreement compares observers. All of them come from the same values and
// agree in number.
//
// A survey is passed in part by part: Columns gathers the columns of
// captures.csv and Gather the contents of the page, both in bounded memory, and
// findings are written as they come. Up to 20,000 captures the page is made
// from all of them, above that from a sample, and it says so.
//
// Functions take values and a writer; files and folders belong to the caller.
package report
