package screen

import (
	"fmt"
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
	n     int // columns so far
	open  map[tableKey]*tableColumns
	key   tableKey // of the last capture
	table *tableColumns
	ended []endedRun
}

// tableKey tells tables from each other.
type tableKey struct {
	file, sheet string
	table       int
}

// tableColumns are the columns of one table.
type tableColumns struct {
	columns []*column
	seen    bool // in this part
}

// column is one measurement down one table.
type column struct {
	measurement string
	side        string
	replicate   int
	n           int
	texts       map[uint64]int // by hash
	chosen      uint64         // texts up to this hash are counted
	last        uint64
	run         run
	runs        []run // of three and more
}

// run is a run of rows with the same text. Most are over with the next row, so
// the first is put down in words only at the end of a part, or where the run
// was long enough.
type run struct {
	n       int
	capture *record.Capture // of the first row, in the part that it stands in
	reading *record.Reading
	first   spot
	also    []record.Address
}

func (r *run) write(w words) {
	if r.reading != nil {
		r.first = w.keepSpot(spotOf(r.capture, r.reading))
		r.capture, r.reading = nil, nil
	}
}

// endedRun is a run of a table that is over, with what is known of its column.
type endedRun struct {
	run
	measurement string
	column      int // readings
	expected    float64
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
		at := table.index(r, near)
		near = at + 1
		if at == len(table.columns) {
			t.n++
			table.columns = append(table.columns, &column{measurement: t.words.keep(r.Measurement), side: t.words.keep(r.Side), replicate: r.Replicate,
				texts: map[uint64]int{}, chosen: ^uint64(0)})
		}
		table.columns[at].add(t.words, c, r)
	}
}

// index returns the column of a reading, likely near a place; the number of
// columns if there is none.
func (t *tableColumns) index(r *record.Reading, near int) int {
	for i := range t.columns {
		at := i + near
		if at >= len(t.columns) {
			at -= len(t.columns)
		}
		if col := t.columns[at]; col.replicate == r.Replicate && col.measurement == r.Measurement && col.side == r.Side {
			return at
		}
	}
	return len(t.columns)
}

func (t *columns) tableOf(c *record.Capture) *tableColumns {
	key := tableKey{c.File, c.Sheet, c.Table}
	if t.table == nil || t.key != key {
		if t.table = t.open[key]; t.table == nil {
			t.table = &tableColumns{}
			t.open[tableKey{t.words.keep(c.File), t.words.keep(c.Sheet), c.Table}] = t.table
		}
		t.key = key
	}
	t.table.seen = true
	return t.table
}

func (col *column) add(w words, c *record.Capture, r *record.Reading) {
	text := digest.Spread(hash(r.Text))
	col.n++
	if text <= col.chosen {
		col.texts[text]++
		for len(col.texts) > maxTexts {
			col.chosen /= 2
			for h := range col.texts {
				if h > col.chosen {
					delete(col.texts, h)
				}
			}
		}
	}
	if text != col.last || col.run.n == 0 {
		col.endRun(w)
		col.last = text
		col.run = run{n: 1, capture: c, reading: r}
		return
	}
	if col.run.n++; len(col.run.also) < maxInRun {
		col.run.also = append(col.run.also, w.address(r.From))
	}
}

// endRun keeps the run that is over if it may be too long for chance.
func (col *column) endRun(w words) {
	if col.run.n >= 3 {
		col.run.write(w)
		if col.runs = append(col.runs, col.run); len(col.runs) > 2*maxRuns {
			sorting.StableFunc(col.runs, func(a, b run) int { return b.n - a.n })
			col.runs = slices.Clone(col.runs[:maxRuns])
		}
	}
	col.run = run{}
}

// endPart closes the tables that had no row in the part.
func (t *columns) endPart() {
	t.key, t.table = tableKey{}, nil
	for key, o := range t.open {
		if !o.seen {
			t.close(o)
			delete(t.open, key)
			continue
		}
		o.seen = false
		for _, col := range o.columns {
			col.run.write(t.words)
		}
	}
}

// close keeps those runs of a table that may be reported: the limit only falls
// as more columns come.
func (t *columns) close(o *tableColumns) {
	for _, col := range o.columns {
		col.endRun(t.words)
		p := col.agreement()
		if col.n < 10 || p == 0 || p > 0.5 {
			continue
		}
		for _, r := range col.runs {
			if expected := float64(col.n) * math.Pow(p, float64(r.n-1)); expected < 1/float64(t.n) {
				t.ended = append(t.ended, endedRun{r, col.measurement, col.n, expected})
			}
		}
	}
}

// agreement is the chance that two readings of the column have the same text.
func (col *column) agreement() float64 {
	n, p := float64(col.n), 0.0
	counts := make([]int, 0, len(col.texts))
	for _, k := range col.texts {
		counts = append(counts, k)
	}
	slices.Sort(counts) // a fixed order of summing
	for _, k := range counts {
		p += float64(k) * float64(k-1) / (n * (n - 1))
	}
	return p * (math.MaxUint64 / float64(col.chosen))
}

func (t *columns) repeatedValues(s Settings) []record.Finding {
	for _, o := range t.open {
		t.close(o)
	}
	clear(t.open)
	limit := s.HabitRate / float64(t.n)
	var findings []record.Finding
	for _, r := range t.ended {
		if r.expected < limit {
			findings = append(findings, r.report(limit))
		}
	}
	return findings
}

func (r *endedRun) report(limit float64) record.Finding {
	return record.Finding{Rule: "values-repeat", Level: record.Note, At: r.first.at, Also: r.also, Capture: r.first.key, Field: r.measurement,
		Value: r.first.verbatim, Group: fmt.Sprintf("%s down the table, n = %d", label(r.measurement), r.column),
		Figures: []record.Figure{{Name: "n", Value: float64(r.column)}, {Name: "run", Value: float64(r.n)},
			{Name: "statistic", Value: r.expected}, {Name: "threshold", Value: limit}},
		Reason: fmt.Sprintf("%s is %s in %d consecutive rows, which would happen by chance %.1g times in such a column: filled down, or written from memory?",
			label(r.measurement), r.first.verbatim, r.n, r.expected)}
}
