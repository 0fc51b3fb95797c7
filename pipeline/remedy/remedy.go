package remedy

import (
	"slices"

	"spadefoot/pipeline/record"
)

// Action is what is to be done with a cell.
type Action string

// The actions. A remedy without one is a proposal and does nothing.
const (
	Undecided Action = ""
	Replace   Action = "replace" // Replacement takes the place of what was found
	Confirm   Action = "confirm" // what was found is right: the finding of Rule is dropped
	Clear     Action = "clear"   // what was found counts as blank
	Drop      Action = "drop"    // the whole capture is left out: it was entered twice
)

// Actions are those that a person may choose from.
var Actions = []Action{Replace, Confirm, Clear, Drop}

// Remedy is a person's decision on one cell, on several with one cause, or on a
// whole capture.
type Remedy struct {
	File        string           // table of remedies that it is in
	Line        int              // of that table, from 1
	At          record.Address   // Row is 0 where only Capture and Field are given, Column where a capture is meant
	Also        []record.Address // further cells of the same decision, of the same sheet
	Capture     string           // key of the capture
	Field       string           // term, measurement (with its replicate: "tibiaLength 2"), part of a weighing, or heading
	Found       string           // the text of the cell, white space at its ends apart; of several cells see List, of a capture RowText
	Action      Action
	Replacement string // for Replace; of several cells one text for all or a List
	Rule        string // for Confirm: code of the finding that is answered
	Who         string
	When        string // YYYY-MM-DD, as the person wrote it
	Why         string
	Doubt       string // in a proposal: what the finding said
	Beside      string // in a workbook: the row of the sheet
	Earlier     string // in a workbook: the captures of the animal before this one
}

// Same reports whether two remedies answer the same question: of one rule, on
// the same cells, with the same text found in them.
func (r *Remedy) Same(o *Remedy) bool {
	return r.Rule == o.Rule && r.At == o.At && slices.Equal(r.Also, o.Also) && r.Capture == o.Capture && r.Field == o.Field && r.Found == o.Found
}

// Cells are those that the decision is on.
func (r *Remedy) Cells() []record.Address { return append([]record.Address{r.At}, r.Also...) }

// place is where the remedy is in its table.
func (r *Remedy) place() record.Address { return record.Address{File: r.File, Row: r.Line} }

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
