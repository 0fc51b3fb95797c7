package store

import "spadefoot/pipeline/record"

// Marks at the head of a value.
const (
	valueVerbatim   = 1 << iota // has a verbatim text
	valueAsWritten              // which is the text
	valueOwnRow                 // stands in the capture's own row
	valueNoAddress              // stands nowhere
	valueWithRemark             // says how it was made
	valueWrong                  // is called wrong
	valueUndecided              // is not published, since nobody decided on its error
)

// Marks at the head of a reading.
const (
	readingVerbatim = 1 << iota
	readingAsWritten
	readingOwnRow
	readingNoAddress
	readingRemark
	readingInterval
	readingAccuracy
	readingInstrument
	readingObserver
	readingComma
	readingDerived
	readingOwnUnit // written in the unit of the measurement
	readingReplicate
	readingResolution
	readingGuessed
	readingHeading
	readingUndecided
	readingSide
)

// Parts of a weighing.
const (
	weighingGross = 1 << iota
	weighingTare
	weighingNet
	weighingBag
)

// capture writes one capture.
func (w *writer) capture(c *record.Capture) {
	w.place = 0
	w.text("file", c.File)
	w.text("sheet", c.Sheet)
	w.int(c.Row)
	w.int(c.Table)
	w.plain(c.ID)
	w.plain(c.Key)
	w.text("session", c.Session)
	w.text("scope", c.Scope)
	w.uint(uint64(len(c.Values)))
	for i := range c.Values {
		w.value(c, &c.Values[i])
	}
	w.uint(uint64(len(c.Readings)))
	for i := range c.Readings {
		w.reading(c, &c.Readings[i])
	}
	if c.Weighing == nil {
		w.byte(0)
	} else {
		w.byte(1)
		w.weighing(c, c.Weighing)
	}
	w.uint(uint64(len(c.Extras)))
	for _, e := range c.Extras {
		w.text("heading", e.Heading)
		w.text(e.Heading, e.Text)
		w.address(e.From)
	}
	w.uint(uint64(len(c.Remarks)))
	for _, s := range c.Remarks {
		w.plain(s)
	}
	w.cells(c)
}

// cells writes what was written in the cells. Most of it is the verbatim text of
// a value or of a reading, and called by its place.
func (w *writer) cells(c *record.Capture) {
	w.uint(uint64(len(c.Cells)))
	values, readings := 0, 0
	for i := range c.Cells {
		cell := &c.Cells[i]
		head := uint64(cell.Column) << 3
		if cell.Decided {
			head |= cellDecided
		}
		switch v, r := valueWith(c, cell.Text, values), readingWith(c, cell.Text, readings); {
		case v >= 0:
			w.uint(head | cellOfValue)
			w.uint(uint64(v))
			values = v + 1
		case r >= 0:
			w.uint(head | cellOfReading)
			w.uint(uint64(r))
			readings = r + 1
		default:
			w.uint(head)
			w.text("cell", cell.Text)
		}
	}
}

// Marks at the head of a cell, below the number of its column.
const (
	cellDecided = 1 << iota
	cellOfValue
	cellOfReading
)

// valueWith returns the first value from a place on whose verbatim text this is,
// or -1; readingWith the first reading.
func valueWith(c *record.Capture, text string, from int) int {
	for i := from; i < len(c.Values); i++ {
		if c.Values[i].Verbatim == text {
			return i
		}
	}
	return -1
}

func readingWith(c *record.Capture, text string, from int) int {
	for i := from; i < len(c.Readings); i++ {
		if c.Readings[i].Verbatim == text {
			return i
		}
	}
	return -1
}

func (w *writer) address(a record.Address) {
	w.text("file", a.File)
	w.text("sheet", a.Sheet)
	w.int(a.Row)
	w.int(a.Column)
}

// nowhere and ownRow tell the usual addresses from the others.
func nowhere(a record.Address) bool { return a == record.Address{} }

func ownRow(c *record.Capture, a record.Address) bool {
	return a.Row == c.Row && a.File == c.File && a.Sheet == c.Sheet
}

func (w *writer) value(c *record.Capture, v *record.Value) {
	var marks byte
	if v.Verbatim != "" {
		marks |= valueVerbatim
		if v.Verbatim == v.Text {
			marks |= valueAsWritten
		}
	}
	switch {
	case nowhere(v.From):
		marks |= valueNoAddress
	case ownRow(c, v.From):
		marks |= valueOwnRow
	}
	if v.Remark != "" {
		marks |= valueWithRemark
	}
	if v.Wrong {
		marks |= valueWrong
	}
	if v.Undecided != "" {
		marks |= valueUndecided
	}
	w.byte(marks)
	w.text("term", v.Term)
	w.text(v.Term, v.Text)
	if marks&(valueVerbatim|valueAsWritten) == valueVerbatim {
		w.text(v.Term, v.Verbatim)
	}
	w.from(v.From, marks&valueNoAddress != 0, marks&valueOwnRow != 0)
	if v.Remark != "" {
		w.text("remark", v.Remark)
	}
	if v.Undecided != "" {
		w.text("rule", v.Undecided)
	}
}

func (w *writer) from(a record.Address, none, own bool) {
	switch {
	case none:
	case own:
		w.int(a.Column)
	default:
		w.address(a)
	}
}

func readingMarks(c *record.Capture, r *record.Reading) (marks uint64) {
	set := func(mark uint64, on bool) {
		if on {
			marks |= mark
		}
	}
	set(readingVerbatim, r.Verbatim != "")
	set(readingAsWritten, r.Verbatim != "" && r.Verbatim == r.Text)
	set(readingNoAddress, nowhere(r.From))
	set(readingOwnRow, !nowhere(r.From) && ownRow(c, r.From))
	set(readingRemark, r.Remark != "")
	set(readingInterval, r.Low != 0 || r.High != 0)
	set(readingAccuracy, r.Accuracy != 0)
	set(readingInstrument, r.Instrument != "")
	set(readingObserver, r.Observer != "")
	set(readingComma, r.Comma)
	set(readingDerived, r.Derived)
	set(readingOwnUnit, r.WrittenUnit == r.Unit)
	set(readingReplicate, r.Replicate != 0)
	set(readingResolution, r.Resolution != 0)
	set(readingGuessed, r.Guessed)
	set(readingHeading, r.Heading != "")
	set(readingUndecided, r.Undecided != "")
	set(readingSide, r.Side != "")
	return marks
}

func (w *writer) reading(c *record.Capture, r *record.Reading) {
	marks := readingMarks(c, r)
	w.uint(marks)
	w.byte(byte(r.State))
	w.text("measurement", r.Measurement)
	w.float(r.Number)
	w.int(r.Decimals)
	w.plain(r.Text)
	w.text("unit", r.Unit)
	if marks&(readingVerbatim|readingAsWritten) == readingVerbatim {
		w.plain(r.Verbatim)
	}
	w.from(r.From, marks&readingNoAddress != 0, marks&readingOwnRow != 0)
	if marks&readingRemark != 0 {
		w.text("remark", r.Remark)
	}
	if marks&readingInterval != 0 {
		w.float(r.Low)
		w.float(r.High)
	}
	if marks&readingAccuracy != 0 {
		w.float(r.Accuracy)
	}
	if marks&readingInstrument != 0 {
		w.text("instrument", r.Instrument)
	}
	if marks&readingObserver != 0 {
		w.text("observer", r.Observer)
	}
	if marks&readingOwnUnit == 0 {
		w.text("unit", r.WrittenUnit)
	}
	if marks&readingReplicate != 0 {
		w.int(r.Replicate)
	}
	if marks&readingResolution != 0 {
		w.float(r.Resolution)
	}
	if marks&readingHeading != 0 {
		w.text("heading", r.Heading)
	}
	if marks&readingUndecided != 0 {
		w.text("rule", r.Undecided)
	}
	if marks&readingSide != 0 {
		w.text("side", r.Side)
	}
}

func (w *writer) weighing(c *record.Capture, g *record.Weighing) {
	parts := []*record.Reading{g.Gross, g.Tare, g.Net}
	var marks byte
	for i, p := range parts {
		if p != nil {
			marks |= 1 << i
		}
	}
	if g.BagLabel != "" || !nowhere(g.Bag) {
		marks |= weighingBag
	}
	w.byte(marks)
	w.text("way", string(g.Way))
	w.text("scale", g.Scale)
	for _, p := range parts {
		if p != nil {
			w.reading(c, p)
		}
	}
	if marks&weighingBag != 0 {
		w.text("bag", g.BagLabel)
		w.address(g.Bag)
	}
}
