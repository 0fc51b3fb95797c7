package screen

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/record/sorting"
)

// Bounds of what is kept of columns. A survey of 20,000 captures stays below
// the first and the last. Where a column has more different texts, the chance
// that two readings agree comes from an even choice of the texts by hash, with
// a relative error of about 1 in 100; where it has more runs, the longest are
// kept; a longer run names its first readings.
const (
	maxTexts = 1 << 15
	maxRuns  = 1 << 13
	maxInRun = 20000
)

// columns look in each table for runs of rows with one and the same value of a
// measurement, longer than chance makes them: with p the chance that two
// readings of the column agree, a run of r among n rows is expected n·p^(r−1)
// times, and reported where that is below HabitRate shared between the columns.
type columns struct {
	words words
	N     int // columns so far of tables that are closed
	Open  map[tableKey]*tableColumns
	key   tableKey // of the last capture
	table *tableColumns
	Ended []endedRun
}

// tableKey identifies a table.
type tableKey struct {
	File, Sheet string
	Table       int
}

// tableColumns are the columns of one table.
type tableColumns struct {
	Columns []*column
	seen    bool // in this part
}

// column is one measurement down one table.
type column struct {
	Measurement string
	Side        string
	Replicate   int
	N           int
	Texts       map[uint64]int // by hash
	Chosen      uint64         // texts up to this hash are counted
	run         run
	Runs        []run // of three and more
	Ends        []run // the first and the last of what was handed over: they may go on in other parts
}

// run is a run of rows with the same text. Most are over with the next row, so
// the first is put down in words only at the end of a part, or where the run
// was long enough.
type run struct {
	N             int
	Text          uint64          // its hash
	Opens, Closes bool            // it is the first, or the last, of what was handed over
	capture       *record.Capture // of the first row, in the part that it stands in
	reading       *record.Reading
	First         spot
	Also          []record.Address
}

func (r *run) write(w words) {
	if r.reading != nil {
		r.First = w.keepSpot(spotOf(r.capture, r.reading))
		r.capture, r.reading = nil, nil
	}
}

// endedRun is a run of a table that is over, with what is known of its column.
type endedRun struct {
	Run         run
	Measurement string
	Column      int // readings
	Expected    float64
}

// add takes the written readings of a capture in; captures come in the order
// of their rows.
func (t *columns) add(c *record.Capture) {
	table, near := t.tableOf(c), 0
	for i := range c.Readings {
		r := &c.Readings[i]
		if r.Derived || !r.Usable() {
			continue
		}
		at := table.index(r.Measurement, r.Side, r.Replicate, near)
		near = at + 1
		if at == len(table.Columns) {
			table.Columns = append(table.Columns, &column{Measurement: t.words.keep(r.Measurement), Side: t.words.keep(r.Side), Replicate: r.Replicate,
				Texts: map[uint64]int{}, Chosen: ^uint64(0), run: run{Opens: true}})
		}
		table.Columns[at].add(t.words, c, r)
	}
}

// index returns a column, likely near a place; the number of columns if there is none.
func (t *tableColumns) index(measurement, side string, replicate, near int) int {
	for i := range t.Columns {
		at := i + near
		if at >= len(t.Columns) {
			at -= len(t.Columns)
		}
		if col := t.Columns[at]; col.Replicate == replicate && col.Measurement == measurement && col.Side == side {
			return at
		}
	}
	return len(t.Columns)
}

func tableOfCapture(c *record.Capture) tableKey { return tableKey{c.File, c.Sheet, c.Table} }

func (t *columns) tableOf(c *record.Capture) *tableColumns {
	key := tableOfCapture(c)
	if t.table == nil || t.key != key {
		if t.table = t.Open[key]; t.table == nil {
			t.table = &tableColumns{}
			t.Open[tableKey{t.words.keep(c.File), t.words.keep(c.Sheet), c.Table}] = t.table
		}
		t.key = key
	}
	t.table.seen = true
	return t.table
}

func (col *column) add(w words, c *record.Capture, r *record.Reading) {
	text := digest.Spread(hash(r.Text))
	col.N++
	if text <= col.Chosen {
		col.Texts[text]++
		col.choose()
	}
	nothing := isCount(r) && r.Number == 0 // found on one animal after another
	if text != col.run.Text || col.run.N == 0 || nothing {
		opens := col.run.Opens && col.run.N == 0
		col.endRun(w)
		col.run.N, col.run.Text, col.run.Opens, col.run.capture, col.run.reading = 1, text, opens, c, r
		return
	}
	if col.run.N++; len(col.run.Also) < maxInRun {
		col.run.Also = append(col.run.Also, w.address(r.From()))
	}
}

// choose leaves out the texts that are too many.
func (col *column) choose() {
	for len(col.Texts) > maxTexts {
		col.chooseTo(col.Chosen / 2)
	}
}

func (col *column) chooseTo(chosen uint64) {
	if chosen < col.Chosen {
		col.Chosen = chosen
		maps.DeleteFunc(col.Texts, func(h uint64, _ int) bool { return h > chosen })
	}
}

// endRun keeps the run that is over if it may be too long for chance, or may go on in
// another part.
func (col *column) endRun(w words) {
	switch r := &col.run; {
	case r.N > 0 && (r.Opens || r.Closes):
		r.write(w)
		col.Ends = append(col.Ends, *r)
	case r.N >= minRepeated:
		r.write(w)
		col.Runs = append(col.Runs, *r)
		col.chooseRuns()
	}
	col.run = run{}
}

// minRepeated is the number of rows that a run is made of at least.
const minRepeated = 3

// chooseRuns leaves the longest runs, the first of equals.
func (col *column) chooseRuns() {
	if len(col.Runs) > 2*maxRuns {
		sorting.Func(col.Runs, func(a, b run) int { return cmp.Or(b.N-a.N, a.First.At.Compare(b.First.At)) })
		col.Runs = slices.Clone(col.Runs[:maxRuns])
	}
}

// endPart closes the tables that had no row in the part.
func (t *columns) endPart() {
	t.key, t.table = tableKey{}, nil
	for key, o := range t.Open {
		if !o.seen {
			t.close(key)
			continue
		}
		o.seen = false
		for _, col := range o.Columns {
			col.run.write(t.words)
		}
	}
}

// handOver ends the runs of a part that is joined with others elsewhere, and closes
// the tables that none of the captures next to it stands in.
func (t *columns) handOver(near map[tableKey]bool) {
	for key, o := range t.Open {
		for _, col := range o.Columns {
			col.run.Closes = true
			col.endRun(t.words)
		}
		if !near[key] {
			t.close(key)
		}
	}
}

// join adds the columns of other parts, which were handed over.
func (t *columns) join(o *columns) {
	t.N += o.N
	t.Ended = append(t.Ended, o.Ended...)
	for key, table := range o.Open {
		own := t.Open[key]
		if own == nil {
			t.Open[key] = table
			continue
		}
		for _, col := range table.Columns {
			if at := own.index(col.Measurement, col.Side, col.Replicate, 0); at < len(own.Columns) {
				own.Columns[at].join(col)
			} else {
				own.Columns = append(own.Columns, col)
			}
		}
	}
}

func (col *column) join(o *column) {
	col.N += o.N
	col.chooseTo(o.Chosen)
	for h, n := range o.Texts {
		if h <= col.Chosen {
			col.Texts[h] += n
		}
	}
	col.choose()
	col.Ends, col.Runs = append(col.Ends, o.Ends...), append(col.Runs, o.Runs...)
	col.chooseRuns()
}

// close keeps those runs of a table that may be reported: the limit only falls
// as more columns come.
func (t *columns) close(table tableKey) {
	o := t.Open[table]
	delete(t.Open, table)
	t.N += len(o.Columns)
	for _, col := range o.Columns {
		col.endRun(t.words)
		p := col.agreement()
		if col.N < 10 || p == 0 || p > 0.5 {
			continue
		}
		for _, r := range append(col.Runs, col.overEnds()...) {
			if expected := float64(col.N) * math.Pow(p, float64(r.N-1)); expected < 1/float64(t.N) {
				t.Ended = append(t.Ended, endedRun{r, col.Measurement, col.N, expected})
			}
		}
	}
}

// overEnds are the runs at the ends of parts, each as one.
func (col *column) overEnds() (out []run) {
	sorting.StableFunc(col.Ends, func(a, b run) int { return a.First.At.Compare(b.First.At) })
	for _, r := range col.Ends {
		if n := len(out) - 1; n >= 0 && out[n].Closes && r.Opens && out[n].Text == r.Text {
			out[n].N, out[n].Closes = out[n].N+r.N, r.Closes
			also := append([]record.Address{r.First.At}, r.Also...)
			out[n].Also = append(out[n].Also, also[:min(len(also), maxInRun-len(out[n].Also))]...)
			continue
		}
		out = append(out, r)
	}
	return slices.DeleteFunc(out, func(r run) bool { return r.N < minRepeated })
}

// agreement is the chance that two readings of the column have the same text.
func (col *column) agreement() float64 {
	n, p := float64(col.N), 0.0
	counts := make([]int, 0, len(col.Texts))
	for _, k := range col.Texts {
		counts = append(counts, k)
	}
	slices.Sort(counts) // a fixed order of summing
	for _, k := range counts {
		p += float64(k) * float64(k-1) / (n * (n - 1))
	}
	return p * (math.MaxUint64 / float64(col.Chosen))
}

func (t *columns) repeatedValues(s Settings) []record.Finding {
	for key := range t.Open {
		t.close(key)
	}
	limit := s.HabitRate / float64(t.N)
	var findings []record.Finding
	for i := range t.Ended {
		if t.Ended[i].Expected < limit {
			findings = append(findings, t.Ended[i].report(limit))
		}
	}
	return findings
}

func (r *endedRun) report(limit float64) record.Finding {
	first := &r.Run.First
	return record.Finding{Rule: "values-repeat", Level: record.Note, At: first.At, Also: r.Run.Also, Capture: first.Key, Field: r.Measurement,
		Value: first.Verbatim, Group: fmt.Sprintf("%s down the table, n = %d", label(r.Measurement), r.Column),
		Figures: []record.Figure{{Name: "n", Value: float64(r.Column)}, {Name: "run", Value: float64(r.Run.N)},
			{Name: "statistic", Value: r.Expected}, {Name: "threshold", Value: limit}},
		Reason: fmt.Sprintf("%s is %s in %d consecutive rows, which would happen by chance %.1g times in such a column: filled down, or written from memory?",
			label(r.Measurement), first.Verbatim, r.Run.N, r.Expected)}
}
