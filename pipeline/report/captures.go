package report

import (
	"cmp"
	"fmt"
	"iter"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/record/succession"
	"spadefoot/pipeline/report/findings"
)

// Order puts names of terms or measurements into the order of the columns.
type Order func(names []string) []string

// CaptureTable is the table of captures with its columns in their order. It may
// be used by many goroutines.
type CaptureTable struct {
	gathered *Columns
	columns  []column
}

// CaptureRows makes the rows of the table. It belongs to one goroutine.
type CaptureRows struct {
	columns []column

	terms    succession.Terms
	readings succession.Keys[readingKey]
	extras   succession.Keys[string]
	value    []*record.Value // of the capture that is written, by slot
	reading  []*record.Reading
	extra    []*record.Extra

	undecided []byte
}

// column is one column of the table: what it shows, and the slot of it.
type column struct {
	heading string
	shows   shows
	slot    int
}

type shows uint8

const (
	termShown shows = iota
	termWritten
	readingShown
	readingWritten
	extraShown
)

// identifier is the term that a capture is published under.
const identifier = "occurrenceID"

// Table puts the columns into their order; nothing is added to them any more.
// Captures with a term, reading or heading that was not gathered leave it out.
func (cs *Columns) Table(terms, measurements Order) *CaptureTable {
	o := &CaptureTable{gathered: cs}
	for _, term := range terms(slices.Sorted(slices.Values(cs.terms.All()))) {
		k := cs.terms.Place(term)
		if term != identifier { // which ends the row
			o.columns = append(o.columns, column{term, termShown, k})
		}
		if cs.termDiffers[k] {
			o.columns = append(o.columns, column{term + " as written", termWritten, k})
		}
	}
	o.columns = append(o.columns, cs.readingColumns(measurements)...)
	for _, name := range slices.Sorted(slices.Values(cs.extras.All)) {
		k, _ := cs.extras.At(name)
		o.columns = append(o.columns, column{name, extraShown, k})
	}
	return o
}

// Header is the line of headings.
func (t *CaptureTable) Header() []byte {
	b := []byte("capture,file,sheet,row,errors,warnings,undecided")
	for _, c := range t.columns {
		b = lines.AppendField(append(b, ','), c.heading)
	}
	return append(append(append(b, ','), identifier...), '\n')
}

// Rows returns what makes rows.
func (t *CaptureTable) Rows() *CaptureRows {
	cs := t.gathered
	return &CaptureRows{columns: t.columns, terms: succession.By(cs.terms.Place), readings: cs.readings.Reader(), extras: cs.extras.Reader(),
		value: make([]*record.Value, len(cs.terms.All())), reading: make([]*record.Reading, len(cs.readings.All)), extra: make([]*record.Extra, len(cs.extras.All))}
}

func (cs *Columns) readingColumns(order Order) []column {
	byName := map[string][]readingKey{}
	var names []string
	for _, k := range cs.readings.All {
		if byName[k.measurement] == nil {
			names = append(names, k.measurement)
		}
		byName[k.measurement] = append(byName[k.measurement], k)
	}
	slices.Sort(names)
	var cols []column
	for _, name := range order(names) {
		sorting.Func(byName[name], func(a, b readingKey) int {
			return cmp.Or(strings.Compare(a.observer, b.observer), a.replicate-b.replicate)
		})
		for _, k := range byName[name] {
			slot, _ := cs.readings.At(k)
			cols = append(cols, column{fmt.Sprintf("%s (%s)", k.heading(), cs.units[slot]), readingShown, slot})
			if cs.readingDiffers[slot] {
				cols = append(cols, column{k.heading() + " as written", readingWritten, slot})
			}
		}
	}
	return cols
}

// Append appends the row of a capture with the numbers of its findings.
func (o *CaptureRows) Append(b []byte, c *record.Capture, n findings.Counts) []byte {
	o.take(c)
	b = lines.AppendCell(b, c.Key)
	b = lines.AppendCell(append(b, ','), c.File)
	b = lines.AppendCell(append(b, ','), c.Sheet)
	b = strconv.AppendInt(append(b, ','), int64(c.Row), 10)
	b = strconv.AppendInt(append(b, ','), int64(n.Error), 10)
	b = strconv.AppendInt(append(b, ','), int64(n.Warning), 10)
	o.undecided = appendUndecided(o.undecided[:0], c)
	b = lines.AppendCell(append(b, ','), o.undecided)
	for i := range o.columns {
		b = lines.AppendCell(append(b, ','), o.cell(&o.columns[i]))
	}
	b = lines.AppendCell(append(b, ','), c.Identifier())
	return append(b, '\n')
}

// take puts what a capture holds into the slots; the first of several counts.
func (o *CaptureRows) take(c *record.Capture) {
	clear(o.value)
	clear(o.reading)
	clear(o.extra)
	for i, k := range o.terms.Of(c) {
		if k >= 0 && o.value[k] == nil {
			o.value[k] = &c.Values[i]
		}
	}
	for r := range everyReading(c) {
		if k := o.readings.Find(keyOf(r)); k >= 0 && o.reading[k] == nil {
			o.reading[k] = r
		}
	}
	for i := range c.Extras {
		if k := o.extras.Find(c.Extras[i].Heading); k >= 0 && o.extra[k] == nil {
			o.extra[k] = &c.Extras[i]
		}
	}
}

// cell is the text of a column for the capture that was taken.
func (o *CaptureRows) cell(col *column) string {
	switch col.shows {
	case termShown, termWritten:
		v := o.value[col.slot]
		switch {
		case v == nil, col.shows == termShown && v.Undecided != "":
			return ""
		case col.shows == termShown:
			return v.Text
		}
		return v.Verbatim
	case readingShown, readingWritten:
		r := o.reading[col.slot]
		switch {
		case r == nil, col.shows == readingShown && r.Undecided != "":
			return ""
		case col.shows == readingShown:
			return shownReading(r)
		}
		return r.Verbatim
	}
	if e := o.extra[col.slot]; e != nil {
		return e.Text
	}
	return ""
}

// everyReading returns the readings of the capture, then the parts of its
// weighing.
func everyReading(c *record.Capture) iter.Seq[*record.Reading] {
	return func(yield func(*record.Reading) bool) {
		for i := range c.Readings {
			if !yield(&c.Readings[i]) {
				return
			}
		}
		for r := range c.Weighing.Readings() {
			if !yield(r) {
				return
			}
		}
	}
}

// shownReading writes a reading for a spreadsheet cell; what is not a plain
// number is left blank, its text is in the column beside it.
func shownReading(r *record.Reading) string {
	if r.Usable() {
		return r.Text
	}
	return ""
}
