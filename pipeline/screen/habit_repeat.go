package screen

import (
	"fmt"
	"math"

	"spadefoot/pipeline/record"
)

// repeatedValues looks in each table for runs of rows with one and the same
// value of a measurement, longer than chance makes them: with p the chance
// that two readings of the column agree, a run of r among n rows is expected
// n·p^(r−1) times, and reported where that is below HabitRate shared between
// the columns.
func repeatedValues(captures []*record.Capture, s Settings) []record.Finding {
	var findings []record.Finding
	for _, col := range columnsIn(captures) {
		findings = append(findings, col.runs(s)...)
	}
	return findings
}

// column is one measurement down one table.
type column struct {
	measurement string
	readings    []*record.Reading
	keys        []string
	others      int // columns in the survey
}

// columnsIn lists the columns of written readings, in the order of captures.
func columnsIn(captures []*record.Capture) []*column {
	type place struct {
		file, sheet      string
		table, replicate int
		measurement      string
	}
	found := map[place]*column{}
	var order []*column
	for _, c := range captures {
		for i := range c.Readings {
			r := &c.Readings[i]
			if r.Derived || !r.Usable() {
				continue
			}
			key := place{c.File, c.Sheet, c.Table, r.Replicate, r.Measurement}
			if found[key] == nil {
				found[key] = &column{measurement: r.Measurement}
				order = append(order, found[key])
			}
			col := found[key]
			col.readings, col.keys = append(col.readings, r), append(col.keys, c.Key)
		}
	}
	for _, col := range order {
		col.others = len(order)
	}
	return order
}

func (col *column) runs(s Settings) []record.Finding {
	n := float64(len(col.readings))
	counts := map[string]int{}
	for _, r := range col.readings {
		counts[r.Text]++
	}
	var p float64
	for _, k := range counts {
		p += float64(k) * float64(k-1) / (n * (n - 1))
	}
	if n < 10 || p == 0 || p > 0.5 {
		return nil
	}
	limit := s.HabitRate / float64(col.others)
	var findings []record.Finding
	for from := 0; from < len(col.readings); {
		to := from + 1
		for to < len(col.readings) && col.readings[to].Text == col.readings[from].Text {
			to++
		}
		if expected := n * math.Pow(p, float64(to-from-1)); to-from >= 3 && expected < limit {
			findings = append(findings, col.run(from, to, expected, limit))
		}
		from = to
	}
	return findings
}

func (col *column) run(from, to int, expected, limit float64) record.Finding {
	first := col.readings[from]
	f := record.Finding{Rule: "values-repeat", Level: record.Note, At: first.From, Capture: col.keys[from], Field: col.measurement,
		Value: first.Verbatim, Group: fmt.Sprintf("%s down the table, n = %d", label(col.measurement), len(col.readings)),
		Figures: []record.Figure{{Name: "n", Value: float64(len(col.readings))}, {Name: "run", Value: float64(to - from)},
			{Name: "statistic", Value: expected}, {Name: "threshold", Value: limit}},
		Reason: fmt.Sprintf("%s is %s in %d rows one after another, which chance would bring about %.1g times in such a column: filled down or written from memory?",
			label(col.measurement), first.Verbatim, to-from, expected)}
	for _, r := range col.readings[from+1 : to] {
		f.Also = append(f.Also, r.From)
	}
	return f
}

// endOfScale looks for masses that pile up at the largest value of an
// instrument: three or more exactly there, and more than in the tenth of the
// range below it. The animals above the end of the scale were then written
// down as the end.
func endOfScale(captures []*record.Capture) []record.Finding {
	per := map[string][]*record.Reading{}
	keys := map[*record.Reading]string{}
	var order []string
	add := func(c *record.Capture, r *record.Reading) {
		if r == nil || r.Derived || r.State != record.Measured || dimensions[r.Unit] != mass {
			return
		}
		name := r.Instrument
		if c.Weighing != nil && c.Weighing.Scale != "" {
			name = c.Weighing.Scale
		}
		if per[name] == nil {
			order = append(order, name)
		}
		per[name] = append(per[name], r)
		keys[r] = c.Key
	}
	for _, c := range captures {
		if c.Weighing != nil && c.Weighing.Gross != nil {
			add(c, c.Weighing.Gross)
			continue
		}
		for i := range c.Readings {
			if m := c.Readings[i].Measurement; m == bodyMass || m == grossMass {
				add(c, &c.Readings[i])
			}
		}
	}
	var findings []record.Finding
	for _, name := range order {
		if f, ok := pileAtEnd(name, per[name], keys); ok {
			findings = append(findings, f)
		}
	}
	return findings
}

func pileAtEnd(scale string, readings []*record.Reading, keys map[*record.Reading]string) (record.Finding, bool) {
	top := 0.0
	for _, r := range readings {
		top = max(top, r.Number)
	}
	var at []*record.Reading
	below := 0
	for _, r := range readings {
		switch {
		case r.Number == top:
			at = append(at, r)
		case r.Number >= 0.9*top:
			below++
		}
	}
	if len(at) < 3 || len(at) <= below {
		return record.Finding{}, false
	}
	if scale == "" {
		scale = "the scale"
	}
	f := record.Finding{Rule: "end-of-scale", Level: record.Note, At: at[0].From, Capture: keys[at[0]], Field: at[0].Measurement,
		Value: at[0].Verbatim, Group: fmt.Sprintf("masses by %s, n = %d", scale, len(readings)),
		Figures: []record.Figure{{Name: "value", Value: top}, {Name: "n", Value: float64(len(readings))},
			{Name: "statistic", Value: float64(len(at))}, {Name: "threshold", Value: float64(max(3, below+1))}},
		Reason: fmt.Sprintf("%d masses are exactly %s %s, the largest by %s, and %d are in the tenth below it: heavier animals may have been written as the end of the scale.",
			len(at), at[0].Text, unitName(at[0].Unit), scale, below)}
	for _, r := range at[1:] {
		f.Also = append(f.Also, r.From)
	}
	return f, true
}
