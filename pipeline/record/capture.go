package record

import (
	"cmp"
	"iter"
	"math"
	"strconv"
	"strings"
)

// WeighWay says how the animal was weighed.
type WeighWay string

// The ways that teams weigh.
const (
	SameRow     WeighWay = "same-row"     // gross and tare in the same row
	BagTable    WeighWay = "bag-table"    // tare from a table of bags
	SessionTare WeighWay = "session-tare" // one tare for a session or sheet
	Zeroed      WeighWay = "zeroed"       // scale zeroed with the bag on: net as written
	NoTare      WeighWay = "no-tare"      // gross with no tare known
	AsWritten   WeighWay = "as-written"   // the mass of the animal, with no record of how it was weighed
)

// Weighing is gross, tare and net of one capture, masses in grams. A nil
// reading was not taken.
type Weighing struct {
	Way      WeighWay
	Gross    *Reading
	Tare     *Reading
	Net      *Reading
	BagLabel string
	Bag      Address // where the label of the bag was written
	Scale    string  // name of the instrument
	Spread   float64 // standard deviation of the bags that one tare represents; 0 if unknown
	Bagged   bool    // its tare column has bags that weigh something
}

// Readings returns what was read, or subtracted: gross, tare and net mass, those that
// there are. There are none without a weighing.
func (w *Weighing) Readings() iter.Seq[*Reading] {
	return func(yield func(*Reading) bool) {
		if w == nil {
			return
		}
		for _, r := range [...]*Reading{w.Gross, w.Tare, w.Net} {
			if r != nil && !yield(r) {
				return
			}
		}
	}
}

// Animal is the mass in grams of an animal weighed in a bag, gross less tare;
// false if one of them was not read or the bag is as heavy.
func (w *Weighing) Animal() (mass float64, ok bool) {
	if w.Gross == nil || w.Tare == nil || !w.Gross.Usable() || !w.Tare.Usable() {
		return 0, false
	}
	mass = w.Gross.Number - w.Tare.Number
	return mass, mass > 0 && !math.IsInf(mass, 0)
}

// Extra is the cell of a column that no heading of the mapping matched.
type Extra struct {
	Heading string
	Text    string
	From    Address
}

// Written is the text of one cell of a capture's rows, as written, with which its
// rows in the archive are compared.
type Written struct {
	Text    string
	Column  int32 // index of the column in its table, from 0
	Decided bool  // a person later decided on the cell
}

// Capture is one animal handled once.
type Capture struct {
	ID       string // UUID of version 5, see RFC 9562
	Key      string // the key columns joined, for people
	File     string
	Sheet    string
	Row      int
	Table    int // index of the table within the sheet
	Session  string
	Scope    string  // within which its mark is unique; "" for the whole survey
	Values   []Value // replaced by Hold
	Readings []Reading
	Weighing *Weighing
	Extras   []Extra
	Cells    []Written `json:"-"` // non-blank cells of the columns that were not set aside
	Remarks  []string  // notes beside the values: trailing notes, cell comments
	Terms    *Names    `json:"-"` // of the values, in their order, which captures may share; nil while they may change
}

// Address is the place of a cell. Row and Column count from 1; 0 means the
// whole sheet (Row 0) or the whole row (Column 0). Sheet is the tab of a
// workbook and empty for a text file.
func (c *Capture) Address() Address { return Address{File: c.File, Sheet: c.Sheet, Row: c.Row} }

// Identifier returns the identifier under which a capture is published: the
// occurrenceID that the sheet gives, else the ID of the capture.
func (c *Capture) Identifier() string {
	if given := c.Get("occurrenceID"); given != "" {
		return given
	}
	return c.ID
}

// Get returns the published text of a term, or "".
func (c *Capture) Get(term string) string {
	if v := c.Value(term); v != nil {
		return v.Text
	}
	return ""
}

// Value returns the value of a term, or nil. It is called about fifty times for
// each capture, so terms are compared by their ends first.
func (c *Capture) Value(term string) *Value {
	if term == "" {
		return nil
	}
	if c.Terms != nil {
		if i := c.Terms.Place(term); i >= 0 {
			return &c.Values[i]
		}
		return nil
	}
	last := len(term) - 1
	for i := range c.Values {
		if t := c.Values[i].Term; len(t) == len(term) && t[last] == term[last] && t == term {
			return &c.Values[i]
		}
	}
	return nil
}

// Set adds the value of a term, or replaces the one that is there.
func (c *Capture) Set(v Value) {
	if old := c.Value(v.Term); old != nil {
		*old = v
		return
	}
	c.Hold(append(c.Values, v))
}

// Hold gives the capture other values.
func (c *Capture) Hold(values []Value) { c.Values, c.Terms = values, nil }

// Fill sets the value of a term for which nothing was read; it keeps the text as
// written.
func (c *Capture) Fill(v Value) {
	if old := c.Value(v.Term); old != nil && v.Verbatim == "" {
		v.Verbatim = old.Verbatim
	}
	c.Set(v)
}

// Called returns the text of a name, as written if it could not be read.
func (v *Value) Called() string { return cmp.Or(v.Text, v.Verbatim) }

// Name returns the value that says what kind of animal it is: the scientific
// name, else the vernacular name, else the genus; nil if it has none.
func (c *Capture) Name() *Value {
	for _, term := range [...]string{"scientificName", "vernacularName", "genus"} {
		if v := c.Value(term); v != nil && v.Called() != "" {
			return v
		}
	}
	return nil
}

// Kind is what the animal is called by its Name, with the epithet if that is
// the genus, or "". Animals of one kind are compared with each other.
func (c *Capture) Kind() string {
	switch v := c.Name(); {
	case v == nil:
		return ""
	case v.Term == "genus":
		return strings.TrimSpace(v.Called() + " " + c.Get("specificEpithet"))
	default:
		return v.Called()
	}
}

// Mark identifies the animal in the survey: its mark (organismID), within the
// scope of marks; "" if it has none.
func (c *Capture) Mark() string {
	mark := c.Get("organismID")
	if mark == "" || c.Scope == "" {
		return mark
	}
	return MarkIn(mark, c.Scope)
}

// MarkIn is the name of an animal with a mark within a scope.
func MarkIn(mark, scope string) string {
	if scope == "" {
		return mark
	}
	return mark + "\x1f" + scope
}

// Absent reports whether the row says that nothing was found, so that it is not
// an animal.
func (c *Capture) Absent() bool { return c.Get("occurrenceStatus") == "absent" }

// Several reports whether the row says that it stands for more than one animal, or
// for a number that could not be read ("many"), so that its readings are not
// known to be those of a single one.
func (c *Capture) Several() bool {
	v := c.Value("individualCount")
	return v != nil && v.Several()
}

// Several reports whether a number of animals is more than one, or could not be read.
func (v *Value) Several() bool {
	n, err := strconv.Atoi(v.Text)
	return err == nil && n > 1 || v.unread()
}

// CountUnread reports whether something is written of how many animals there were
// that is no number.
func (c *Capture) CountUnread() bool {
	v := c.Value("individualCount")
	return v != nil && v.unread()
}

// unread reports whether something is written that could not be read.
func (v *Value) unread() bool { return v.Text == "" && v.Verbatim != "" }

// DateWrong reports whether the date is called wrong.
func (c *Capture) DateWrong() bool {
	v := c.Value("eventDate")
	return v != nil && v.Wrong
}

// Reading returns the first usable reading of a measurement, or nil.
func (c *Capture) Reading(measurement string) *Reading {
	for i := range c.Readings {
		if c.Readings[i].Measurement == measurement && c.Readings[i].Usable() {
			return &c.Readings[i]
		}
	}
	return nil
}

// WrittenAt is the text in a cell of its row: the value of a term, a reading, a
// part of the weighing or a cell that nothing matched.
func (c *Capture) WrittenAt(at Address, term string) string {
	if term != "" {
		if v := c.Value(term); v != nil && v.From() == at {
			return cmp.Or(v.Verbatim, v.Text)
		}
		return ""
	}
	for i := range c.Readings {
		if r := &c.Readings[i]; r.From() == at && !r.Derived {
			return r.Verbatim
		}
	}
	if w := c.Weighing; w != nil {
		for r := range w.Readings() {
			if r.From() == at {
				return r.Verbatim
			}
		}
		if w.Bag == at {
			return w.BagLabel
		}
	}
	for _, e := range c.Extras {
		if e.From == at {
			return e.Text
		}
	}
	return ""
}
