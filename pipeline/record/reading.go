package record

// State says what kind of statement a reading is.
type State uint8

// The states of a reading.
const (
	Measured State = iota // a number
	Missing               // not measured: blank, "n/a", "-", "not taken"
	Below                 // less than Number ("<0.5")
	Above                 // more than Number (">60")
	Interval              // between Low and High ("40-42")
	Doubtful              // a number the writer doubted ("57.5?", "c. 40")
	Unread                // the text cannot be read
)

var stateNames = [...]string{"measured", "missing", "below", "above", "interval", "doubtful", "unread"}

// String names the state in lower case.
func (s State) String() string { return stateNames[s] }

// Reading is one measured value. Number and its bounds are in Unit, the
// measurement's own unit, and not rounded; Text is Number with the digits that
// were written, or seven significant ones if the unit was converted.
type Reading struct {
	*Series
	Number   float64
	Decimals int     // digits after the point in Text; negative if only tens or hundreds were written
	Accuracy float64 // expanded uncertainty (k = 2) in Unit; 0 if unknown
	Text     string  // Number as published
	Verbatim string
	Rare     *Rare // what only few readings have besides; nil for none. Copies share it, so replace it as a whole
	Row      int32 // where it was written, in the column of its series; 0 for none
	State    State
}

// Series is what the readings of a column have in common. They share it, so that
// it is never changed: Vary gives one reading another. WrittenUnit is the unit in
// the sheet.
type Series struct {
	Measurement string  // name in the measurement vocabulary
	Unit        string  // UCUM code
	WrittenUnit string  // UCUM code of the unit as written or given by the heading
	Resolution  float64 // step of the numbers that its observer writes in the column, or the graduation of its instrument, in Unit; 0 if unknown
	Instrument  string
	Observer    string // who took them, if the column says so; else the capture's
	Heading     string // its name in the sheet: the heading of the column, or the cell with its name
	Side        string // Left or Right, if the column says so
	Replicate   int
	Column      Address // where they were written, without the row; File empty if nowhere
	Comma       bool    // the column uses a decimal comma
	Guessed     bool    // the unit is a guess; nobody wrote it
	Derived     bool    // computed from other readings, not written by a person

	// Undecided is the rule of the error that nobody decided on, so that the
	// readings are not published; empty for none.
	Undecided string `json:"-"`
}

// Rare is what only few readings have besides their number.
type Rare struct {
	Low, High float64 // for Interval; for a ± the interval it spans
	Remark    string
}

// Usable reports whether the reading is a number that screening may use.
func (r *Reading) Usable() bool { return r.State == Measured || r.State == Doubtful }

// From is where the reading was written; File empty if nowhere.
func (r *Reading) From() Address { return r.Column.inRow(r.Row) }

// SameCell reports whether two readings were written in one cell, or both nowhere.
func (r *Reading) SameCell(o *Reading) bool {
	return r.Row == o.Row && (r.Series == o.Series || r.Column == o.Column)
}

// At returns the reading as written in another place.
func (r Reading) At(a Address) Reading {
	r.Row = int32(a.Row)
	a.Row = 0
	if r.Series == nil || r.Column != a {
		r.Vary(func(s *Series) { s.Column = a })
	}
	return r
}

// Vary gives the reading a series of its own, changed.
func (r *Reading) Vary(change func(*Series)) {
	var s Series
	if r.Series != nil {
		s = *r.Series
	}
	change(&s)
	r.Series = &s
}

// Low is the lower bound of an interval, and High the upper one; 0 if there is none.
func (r *Reading) Low() float64 {
	if r.Rare == nil {
		return 0
	}
	return r.Rare.Low
}

func (r *Reading) High() float64 {
	if r.Rare == nil {
		return 0
	}
	return r.Rare.High
}

// Remark is what is said beside the reading, or "".
func (r *Reading) Remark() string {
	if r.Rare == nil {
		return ""
	}
	return r.Rare.Remark
}

// SetBounds sets the bounds of an interval.
func (r *Reading) SetBounds(low, high float64) { r.rare(Rare{low, high, r.Remark()}) }

// SetRemark sets what is said beside the reading.
func (r *Reading) SetRemark(text string) { r.rare(Rare{r.Low(), r.High(), text}) }

func (r *Reading) rare(n Rare) {
	r.Rare = nil
	if n != (Rare{}) {
		r.Rare = &n
	}
}
