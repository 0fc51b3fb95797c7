package report

import (
	"cmp"
	"fmt"
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
	headings []string
	terms    []shows // by their numbers
	readings []shows
	extras   []int // columns
}

// shows are the columns that show a term or reading as it is published and as it was
// written, from 1; 0 for none.
type shows struct{ published, written int }

// CaptureRows makes the rows of the table. It belongs to one goroutine.
type CaptureRows struct {
	table *CaptureTable

	terms    succession.Terms
	readings readingKeys
	extras   succession.Keys[string]
	cells    []string // of the capture that is written, by column; that of column 0 is not shown

	undecided []byte
}

// identifier is the term that a capture is published under.
const identifier = "occurrenceID"

// Table puts the columns into their order; nothing is added to them any more.
// Captures with a term, reading or heading that was not gathered leave it out.
func (cs *Columns) Table(terms, measurements Order) *CaptureTable {
	o := &CaptureTable{gathered: cs, terms: make([]shows, len(cs.terms.All())), readings: make([]shows, len(cs.readings.keys.All)), extras: make([]int, len(cs.extras.All))}
	for _, term := range terms(slices.Sorted(slices.Values(cs.terms.All()))) {
		k := cs.terms.Place(term)
		if term != identifier { // which ends the row
			o.terms[k].published = o.add(term)
		}
		if cs.termDiffers[k] {
			o.terms[k].written = o.add(term + " as written")
		}
	}
	for _, key := range cs.inOrder(measurements) {
		k, _ := cs.readings.keys.At(key)
		o.readings[k].published = o.add(fmt.Sprintf("%s (%s)", key.heading(), cs.units[k]))
		if cs.readingDiffers[k] {
			o.readings[k].written = o.add(key.heading() + " as written")
		}
	}
	for _, name := range slices.Sorted(slices.Values(cs.extras.All)) {
		k, _ := cs.extras.At(name)
		o.extras[k] = o.add(name)
	}
	return o
}

// add adds a column.
func (t *CaptureTable) add(heading string) int {
	t.headings = append(t.headings, heading)
	return len(t.headings)
}

// Header is the line of headings.
func (t *CaptureTable) Header() []byte {
	b := []byte("capture,file,sheet,row,errors,warnings,undecided")
	for _, heading := range t.headings {
		b = lines.AppendField(append(b, ','), heading)
	}
	return append(append(append(b, ','), identifier...), '\n')
}

// Rows returns what makes rows.
func (t *CaptureTable) Rows() *CaptureRows {
	cs := t.gathered
	return &CaptureRows{table: t, terms: succession.By(cs.terms.Place), readings: readingKeys{keys: cs.readings.keys.Reader()}, extras: cs.extras.Reader(),
		cells: make([]string, 1+len(t.headings))}
}

// inOrder lists the readings as their columns come.
func (cs *Columns) inOrder(order Order) (out []readingKey) {
	byName := map[string][]readingKey{}
	var names []string
	for _, k := range cs.readings.keys.All {
		if byName[k.measurement] == nil {
			names = append(names, k.measurement)
		}
		byName[k.measurement] = append(byName[k.measurement], k)
	}
	slices.Sort(names)
	for _, name := range order(names) {
		sorting.Func(byName[name], func(a, b readingKey) int {
			return cmp.Or(strings.Compare(a.observer, b.observer), a.replicate-b.replicate)
		})
		out = append(out, byName[name]...)
	}
	return out
}

// Append appends the row of a capture with the numbers of its findings.
func (o *CaptureRows) Append(b []byte, c *record.Capture, n findings.Counts) []byte {
	b = lines.AppendCell(b, c.Key)
	b = lines.AppendCell(append(b, ','), c.File)
	b = lines.AppendCell(append(b, ','), c.Sheet)
	b = strconv.AppendInt(append(b, ','), int64(c.Row), 10)
	b = strconv.AppendInt(append(b, ','), int64(n.Error), 10)
	b = strconv.AppendInt(append(b, ','), int64(n.Warning), 10)
	b = append(b, ',')
	if o.take(c) {
		o.undecided = appendUndecided(o.undecided[:0], c, o.readings.of(c))
		b = lines.AppendCell(b, o.undecided)
	}
	for _, text := range o.cells[1:] {
		if b = append(b, ','); text != "" {
			b = lines.AppendCell(b, text)
		}
	}
	b = lines.AppendCell(append(b, ','), c.Identifier())
	return append(b, '\n')
}

// take puts what a capture holds into the cells; the first of several counts. It
// reports whether something is undecided.
func (o *CaptureRows) take(c *record.Capture) (undecided bool) {
	clear(o.cells)
	numbers, readings := o.terms.Of(c), o.readings.of(c)
	for i := len(numbers) - 1; i >= 0; i-- {
		v := &c.Values[i]
		undecided = undecided || v.Undecided != ""
		if k := numbers[i]; k >= 0 {
			o.show(o.table.terms[k], v.Text, v.Verbatim, v.Undecided)
		}
	}
	for i := len(readings) - 1; i >= 0; i-- {
		r := readings[i]
		undecided = undecided || r.Undecided != ""
		if k := o.readings.find(i, r); k >= 0 {
			o.show(o.table.readings[k], shownReading(r), r.Verbatim, r.Undecided)
		}
	}
	for i := len(c.Extras) - 1; i >= 0; i-- {
		if k := o.extras.Find(c.Extras[i].Heading); k >= 0 {
			o.cells[o.table.extras[k]] = c.Extras[i].Text
		}
	}
	return undecided
}

// show puts a value into its columns; nothing is published of one that is undecided.
func (o *CaptureRows) show(at shows, text, written, undecided string) {
	if undecided != "" {
		text = ""
	}
	o.cells[at.published], o.cells[at.written] = text, written
}

// shownReading writes a reading for a spreadsheet cell; what is not a plain
// number is left blank, its text is in the column beside it.
func shownReading(r *record.Reading) string {
	if r.Usable() {
		return r.Text
	}
	return ""
}
