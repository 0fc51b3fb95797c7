package report

import (
	"cmp"
	"encoding/csv"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
)

// Order puts names of terms or measurements into the order of the columns.
type Order func(names []string) []string

// CapturesCSV writes the cleaned table for spreadsheets: one row per capture
// with its place in the sheets, its terms and its readings in the unit that
// the heading names. Where a published value differs from what was written,
// a column "… as written" stands beside it.
func CapturesCSV(w io.Writer, captures []*record.Capture, fs []record.Finding, terms Order, measurements Order) error {
	cols := columnsOf(captures, terms, measurements)
	perCapture := map[string]*Counts{}
	for _, f := range fs {
		c := perCapture[f.Capture]
		if c == nil {
			c = &Counts{}
			perCapture[f.Capture] = c
		}
		*c = add(*c, Count([]record.Finding{f}))
	}
	out := csv.NewWriter(w)
	header := []string{"capture", "file", "sheet", "row", "errors", "warnings"}
	for _, c := range cols {
		header = append(header, c.heading)
	}
	header = append(header, "occurrenceID")
	if err := out.Write(header); err != nil {
		return err
	}
	for _, c := range captures {
		n := Counts{}
		if p := perCapture[c.Key]; p != nil && c.Key != "" {
			n = *p
		}
		line := []string{c.Key, c.File, c.Sheet, strconv.Itoa(c.Row), strconv.Itoa(n.Error), strconv.Itoa(n.Warning)}
		for _, col := range cols {
			line = append(line, col.cell(c))
		}
		if err := out.Write(append(line, c.ID)); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func add(a, b Counts) Counts {
	return Counts{a.Error + b.Error, a.Warning + b.Warning, a.Note + b.Note}
}

type column struct {
	heading string
	cell    func(*record.Capture) string
}

type readingKey struct {
	measurement string
	observer    string // "" where the column is nobody's own
	replicate   int
}

func keyOf(r *record.Reading) readingKey {
	return readingKey{r.Measurement, r.Observer, r.Replicate}
}

func (k readingKey) heading() string {
	h := k.measurement
	if k.observer != "" {
		h += " by " + k.observer
	}
	if k.replicate > 0 {
		h += " " + strconv.Itoa(k.replicate)
	}
	return h
}

// columnsOf finds the columns that hold something in any capture.
func columnsOf(captures []*record.Capture, terms, measurements Order) []column {
	termSeen, termDiffers := map[string]bool{}, map[string]bool{}
	readSeen, readDiffers := map[readingKey]string{}, map[readingKey]bool{}
	extraSeen := map[string]bool{}
	for _, c := range captures {
		for _, v := range c.Values {
			termSeen[v.Term] = termSeen[v.Term] || v.Text != ""
			termDiffers[v.Term] = termDiffers[v.Term] || (v.Verbatim != "" && v.Verbatim != v.Text)
		}
		for _, r := range readings(c) {
			k := keyOf(r)
			readSeen[k] = r.Unit
			readDiffers[k] = readDiffers[k] || (r.Verbatim != "" && r.Verbatim != shownReading(r))
		}
		for _, e := range c.Extras {
			extraSeen[e.Heading] = true
		}
	}
	var cols []column
	for _, term := range terms(slices.Sorted(maps.Keys(termSeen))) {
		cols = append(cols, column{term, func(c *record.Capture) string { return c.Get(term) }})
		if termDiffers[term] {
			cols = append(cols, column{term + " as written", func(c *record.Capture) string {
				if v := c.Value(term); v != nil {
					return v.Verbatim
				}
				return ""
			}})
		}
	}
	cols = append(cols, readingColumns(readSeen, readDiffers, measurements)...)
	for _, name := range slices.Sorted(maps.Keys(extraSeen)) {
		cols = append(cols, column{name, func(c *record.Capture) string {
			for _, e := range c.Extras {
				if e.Heading == name {
					return e.Text
				}
			}
			return ""
		}})
	}
	return cols
}

func readingColumns(seen map[readingKey]string, differs map[readingKey]bool, order Order) []column {
	byName := map[string][]readingKey{}
	for k := range seen {
		byName[k.measurement] = append(byName[k.measurement], k)
	}
	var cols []column
	for _, name := range order(slices.Sorted(maps.Keys(byName))) {
		slices.SortFunc(byName[name], func(a, b readingKey) int {
			return cmp.Or(strings.Compare(a.observer, b.observer), a.replicate-b.replicate)
		})
		for _, k := range byName[name] {
			heading := k.heading()
			cols = append(cols, column{fmt.Sprintf("%s (%s)", heading, seen[k]), func(c *record.Capture) string {
				if r := reading(c, k); r != nil {
					return shownReading(r)
				}
				return ""
			}})
			if differs[k] {
				cols = append(cols, column{heading + " as written", func(c *record.Capture) string {
					if r := reading(c, k); r != nil {
						return r.Verbatim
					}
					return ""
				}})
			}
		}
	}
	return cols
}

func reading(c *record.Capture, k readingKey) *record.Reading {
	for _, r := range readings(c) {
		if keyOf(r) == k {
			return r
		}
	}
	return nil
}

// readings are those of the capture, then the parts of its weighing.
func readings(c *record.Capture) []*record.Reading {
	out := make([]*record.Reading, 0, len(c.Readings)+3)
	for i := range c.Readings {
		out = append(out, &c.Readings[i])
	}
	if c.Weighing != nil {
		for _, r := range []*record.Reading{c.Weighing.Gross, c.Weighing.Tare, c.Weighing.Net} {
			if r != nil {
				out = append(out, r)
			}
		}
	}
	return out
}

// shownReading writes a reading for a spreadsheet cell; what is not a plain
// number is left blank, its text stands in the column beside it.
func shownReading(r *record.Reading) string {
	if r.Usable() {
		return r.Text
	}
	return ""
}
