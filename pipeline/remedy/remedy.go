package remedy

import "spadefoot/pipeline/record"

// Action is what is to be done with a cell.
type Action string

// The actions. A remedy without one is a proposal and does nothing.
const (
	Undecided Action = ""
	Replace   Action = "replace" // Replacement stands in place of what was found
	Confirm   Action = "confirm" // what was found is right: the finding of Rule is dropped
	Clear     Action = "clear"   // what was found is to be taken for blank
)

// Remedy is a person's decision on one cell.
type Remedy struct {
	Line        int            // of remedies.csv
	At          record.Address // Row is 0 where only Capture and Field are given
	Capture     string         // key of the capture
	Field       string         // term, measurement (with its replicate: "tibiaLength 2"), part of a weighing, or heading
	Found       string         // the text of the cell, white space at its ends apart
	Action      Action
	Replacement string // for Replace
	Rule        string // for Confirm: code of the finding that is answered
	Who         string
	When        string // YYYY-MM-DD, as the person wrote it
	Why         string
	Doubt       string // in a proposal: what the finding said; never read
}

// changes reports whether the remedy alters the cell.
func (r *Remedy) changes() bool { return r.Action == Replace || r.Action == Clear }

// RowRef is a row of a table.
type RowRef struct {
	File, Sheet string
	Table, Row  int
}

// Applied is a remedy that found its cell.
type Applied struct {
	Remedy
	At     record.Address   // where the cell is now
	Also   []record.Address // cells that took the text from above with it
	Rows   []RowRef         // rows that the cell belongs to
	Field  string           // what the column means
	Before string           // what was written in the sheet
}
