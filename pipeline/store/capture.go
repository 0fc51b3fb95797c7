package store

import "spadefoot/pipeline/record"

// Marks at the head of a value, below the number of its text.
const (
	valueAsWritten = 1 << iota // its verbatim text is the text
	valueVerbatim              // has another verbatim text
	valueElsewhere             // stands in another row

	valueMarks = iota
)

// Marks at the head of a reading, below its state.
const (
	readingAsWritten = 1 << iota
	readingVerbatim
	readingElsewhere
	readingRare
	readingAccuracy

	readingMarks = iota
)

// Parts of a weighing.
const (
	weighingGross = 1 << iota
	weighingTare
	weighingNet
	weighingBag
	weighingThere
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
	forms, cells := w.shape(c)
	parts := partsOf(c.Weighing)
	w.byte(parts)
	for i := range c.Values {
		w.value(c, &c.Values[i], &w.words.forms.above[forms[i]])
	}
	for i := range c.Readings {
		w.reading(c, &c.Readings[i])
	}
	if c.Weighing != nil {
		w.weighing(c, c.Weighing, parts)
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
	w.cells(c, cells)
}

func (w *writer) address(a record.Address) {
	w.text("file", a.File)
	w.text("sheet", a.Sheet)
	w.int(a.Row)
	w.int(a.Column)
}

// value writes what a value has of its own, below one of its form.
func (w *writer) value(c *record.Capture, v *record.Value, above *textsAbove) {
	var marks uint64
	switch {
	case v.Verbatim == "":
	case v.Verbatim == v.Text:
		marks |= valueAsWritten
	default:
		marks |= valueVerbatim
	}
	if int(v.Row) != c.Row {
		marks |= valueElsewhere
	}
	if n := int(v.Word); n > 0 && n <= len(w.known) && w.known[n-1] == v.Text {
		w.uint(uint64(n+1)<<valueMarks | marks)
	} else {
		w.marked(&above.text, v.Term, v.Text, marks, valueMarks)
	}
	if marks&valueVerbatim != 0 {
		w.textBelow(&above.verbatim, v.Term, v.Verbatim)
	}
	if marks&valueElsewhere != 0 {
		w.int(int(v.Row))
	}
}

// reading writes what a reading has of its own.
func (w *writer) reading(c *record.Capture, r *record.Reading) {
	var marks byte
	switch {
	case r.Verbatim == "":
	case r.Verbatim == r.Text:
		marks |= readingAsWritten
	default:
		marks |= readingVerbatim
	}
	if r.Rare != nil {
		marks |= readingRare
	}
	if r.Accuracy != 0 {
		marks |= readingAccuracy
	}
	if int(r.Row) != c.Row {
		marks |= readingElsewhere
	}
	w.byte(byte(r.State)<<readingMarks | marks)
	w.int(r.Decimals)
	w.float(r.Number)
	w.plain(r.Text)
	if marks&readingVerbatim != 0 {
		w.plain(r.Verbatim)
	}
	if marks&readingElsewhere != 0 {
		w.int(int(r.Row))
	}
	if marks&readingRare != 0 {
		w.float(r.Rare.Low)
		w.float(r.Rare.High)
		w.text("remark", r.Rare.Remark)
	}
	if marks&readingAccuracy != 0 {
		w.float(r.Accuracy)
	}
}

// partsOf says what a weighing has; 0 without one.
func partsOf(g *record.Weighing) (parts byte) {
	if g == nil {
		return 0
	}
	for i, p := range [...]*record.Reading{g.Gross, g.Tare, g.Net} {
		if p != nil {
			parts |= 1 << i
		}
	}
	if g.BagLabel != "" || g.Bag != (record.Address{}) {
		parts |= weighingBag
	}
	return parts | weighingThere
}

func (w *writer) weighing(c *record.Capture, g *record.Weighing, parts byte) {
	w.text("way", string(g.Way))
	w.text("scale", g.Scale)
	for r := range g.Readings() {
		w.reading(c, r)
	}
	if parts&weighingBag != 0 {
		w.text("bag", g.BagLabel)
		w.address(g.Bag)
	}
}
