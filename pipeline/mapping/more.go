package mapping

import (
	"fmt"
	"slices"

	"spadefoot/pipeline/record"
)

// Applied is a mapping that has been applied to the first rows of a table, for
// the rows that come in chunks.
type Applied struct {
	t         *record.Table
	own       int            // columns of the sheet; the others are labels
	at        map[string]int // places of the labels behind the columns, by their key
	above     []record.Cell  // cells of the labels above the table
	labels    []record.Label // of the last row
	cells     []record.Cell  // that they give
	carry     []carried
	yields    [][2]int // columns that take what a label says, with the label's column
	unmatched []counted
	guessed   []counted // columns whose unit nobody wrote
	telling   telling
	overruled []counted // labels whose column says something else in some rows
}

// carried is a column whose blanks mean "as above", with the cell above.
type carried struct {
	column int
	above  record.Cell
}

// counted is a column with what is to be said of it, if any of its cells is filled.
type counted struct {
	column, filled int
	finding        record.Finding
}

// NewLabel says that a line further down a long table names something that no
// line names in its first rows, for which there is no column.
type NewLabel struct {
	Table *record.Table
	Row   int // the first row of the table that it holds for
	Label record.Label
}

// Error names the line and the ways out.
func (n *NewLabel) Error() string {
	return fmt.Sprintf("%s: the line gives %q the value %q for the rows from %d on, but no line near the beginning of the table names it; write %q there too, or move these rows to their own file",
		n.Table.Address(n.Label.Cell), n.Label.Name, n.Label.Cell.Text, n.Row, n.Label.Name)
}

// Begin does what Apply does for a table of which t holds the first rows, and
// gives what maps the rows that follow. Columns that nothing matched, or whose unit
// nobody wrote, are not among the findings: Applied.End tells them, as all their cells
// are known.
func Begin(m *Mapping, t *record.Table, known Known) (*Applied, []record.Finding, error) {
	run, err := apply(m, t, known)
	if err != nil {
		return nil, run.findings, err
	}
	a := &Applied{t: t, own: run.own, at: run.at, carry: run.carry, yields: run.yields, telling: run.telling}
	a.above = make([]record.Cell, len(t.Columns)-a.own)
	a.put(a.above, t.Labels)
	a.cells = a.above
	findings := slices.DeleteFunc(run.findings, func(f record.Finding) bool { return ofHeadings[f.Rule] })
	for i := range t.Columns {
		if t.Columns[i].Meaning.Guessed {
			a.guessed = append(a.guessed, counted{column: i, filled: filledIn(t.Rows, i), finding: unitGuessed(t, i)})
		}
		if yields := slices.ContainsFunc(run.yields, func(y [2]int) bool { return y[1] == i }); t.Columns[i].Meaning.Role == record.Unmatched && !yields && !run.isTitle(i) {
			f := notMatched(t, i)
			if i >= a.own {
				f.At = labelAddress(t, i)
			}
			a.unmatched = append(a.unmatched, counted{column: i, filled: filledIn(t.Rows, i), finding: f})
		}
	}
	for _, y := range a.yields {
		a.overruled = append(a.overruled, counted{column: y[1], filled: filledIn(t.Rows, y[1]), finding: overruled(t, y[0], y[1])})
	}
	if n := len(t.Rows); n > 0 {
		a.labels = t.Rows[n-1].Labels
		a.cells = slices.Clone(a.above)
		a.put(a.cells, a.labels)
	}
	return a, findings, nil
}

// carriedFrom returns what the rows below the last one take from above.
func carriedFrom(t *record.Table, i int) carried {
	c := carried{column: i}
	if n := len(t.Rows); n > 0 {
		c.above = t.Rows[n-1].Cells[i]
	}
	return c
}

// More maps further rows. The error is a *NewLabel.
func (a *Applied) More(rows []record.TableRow) error {
	n := len(a.t.Columns) - a.own
	var slab []record.Cell
	if n > 0 {
		slab = make([]record.Cell, 0, len(rows)*len(a.t.Columns))
	}
	for r := range rows {
		row := &rows[r]
		if err := a.spread(row); err != nil {
			return err
		}
		if n > 0 {
			from := len(slab)
			slab = append(append(slab, row.Cells...), a.cells...)
			row.Cells = slab[from:len(slab):len(slab)]
		}
		a.carryDown(row)
		a.telling.move(row)
		for _, y := range a.yields {
			yieldIn(a.t, row, y[0], y[1])
		}
		for k := range a.overruled {
			o := &a.overruled[k]
			if c := &row.Cells[o.column]; !c.Empty() {
				if o.filled++; o.filled == 1 {
					o.finding.At = a.t.Address(*c)
				}
			}
		}
		for _, of := range [][]counted{a.unmatched, a.guessed} {
			for k := range of {
				if !row.Cells[of[k].column].Empty() {
					of[k].filled++
				}
			}
		}
	}
	return nil
}

// spread finds the cells that the labels of a row give.
func (a *Applied) spread(row *record.TableRow) error {
	if sameLabels(row.Labels, a.labels) {
		return nil
	}
	for _, l := range row.Labels {
		if k := labelKey(l.Name); k != "" {
			if _, ok := a.at[k]; !ok {
				return &NewLabel{Table: a.t, Row: row.Number, Label: l}
			}
		}
	}
	a.labels = row.Labels
	a.cells = slices.Clone(a.above)
	a.put(a.cells, row.Labels)
	return nil
}

func (a *Applied) put(cells []record.Cell, labels []record.Label) { putLabels(a.at, cells, labels) }

func (a *Applied) carryDown(row *record.TableRow) {
	own := len(a.t.Columns) > a.own // the cells are copies already
	for k := range a.carry {
		c := &a.carry[k]
		switch cell := &row.Cells[c.column]; {
		case !cell.Empty():
			c.above = *cell
		case !c.above.Empty():
			if !own {
				row.Cells, own = slices.Clone(row.Cells), true
			}
			row.Cells[c.column].Carry(c.above)
		}
	}
}

// End reports the columns that nothing matched, with the number of their cells
// in all rows, and those whose unit nobody wrote.
func (a *Applied) End() []record.Finding {
	var fs []record.Finding
	for _, o := range slices.Concat(a.overruled, a.guessed) {
		if o.filled > 0 {
			fs = append(fs, o.finding)
		}
	}
	for _, u := range a.unmatched {
		if f, doubt := sayUnmatched(u.finding, u.filled); doubt {
			fs = append(fs, f)
		}
	}
	return joined(fs)
}
