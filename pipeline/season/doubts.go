package season

import "spadefoot/pipeline/record"

// Doubts are the cells that findings at warning or above are on. Those of
// several may be asked together: a part's own beside the survey's.
type Doubts struct {
	Beside *Doubts // asked too; nil for none
	rows   map[record.Address][]doubt
	runs   []doubtedRun
}

// doubt is the rule of a finding and the column of its cell, 0 for the row.
type doubt struct {
	column int
	rule   string
}

type doubtedRun struct {
	record.Run
	rule string
}

// Add takes findings in. What is said of a capture's name is not a doubt about what
// was measured; and of two rows that are reported together only the one that the
// finding is at is left out.
func (d *Doubts) Add(fs []record.Finding) {
	for i := range fs {
		f := &fs[i]
		if f.Level < record.Warning || f.Field == "key" {
			continue
		}
		d.add(f.At, f.Rule)
		for _, at := range f.Also {
			if at.Column > 0 {
				d.add(at, f.Rule)
			}
		}
		for _, r := range f.Runs {
			d.runs = append(d.runs, doubtedRun{r, f.Rule})
		}
	}
}

func (d *Doubts) add(at record.Address, rule string) {
	if at.Row == 0 {
		return
	}
	if d.rows == nil {
		d.rows = map[record.Address][]doubt{}
	}
	column := at.Column
	at.Column = 0
	d.rows[at] = append(d.rows[at], doubt{column, rule})
}

// of returns the doubts on the cells of a row, and on the row.
func (d *Doubts) of(row record.Address) rowDoubts {
	var out rowDoubts
	for ; d != nil; d = d.Beside {
		out.cells = append(out.cells, d.rows[row]...)
		for i := range d.runs {
			if r := &d.runs[i]; r.File == row.File && r.Sheet == row.Sheet && r.Row <= row.Row && row.Row <= r.Last {
				out.cells = append(out.cells, doubt{r.Column, r.rule})
			}
		}
	}
	out.row = row
	return out
}

// rowDoubts are the doubts on one capture's row.
type rowDoubts struct {
	row   record.Address
	cells []doubt
}

// whole returns the rule of a doubt on the row as a whole, or "".
func (d *rowDoubts) whole() string { return d.at(0) }

// on returns the rule of a doubt on a cell of the row, or "".
func (d *rowDoubts) on(a record.Address) string {
	if len(d.cells) == 0 || a.Column == 0 || a.File != d.row.File || a.Sheet != d.row.Sheet || a.Row != d.row.Row {
		return ""
	}
	return d.at(a.Column)
}

// onReading returns the rule of a doubt on a reading, or "".
func (d *rowDoubts) onReading(r *record.Reading) string {
	if r.Undecided != "" || len(d.cells) == 0 {
		return r.Undecided
	}
	return d.on(r.From())
}

// onValue returns the rule of a doubt on a value, or "".
func (d *rowDoubts) onValue(v *record.Value) string {
	if v.Undecided != "" || len(d.cells) == 0 {
		return v.Undecided
	}
	return d.on(v.From())
}

func (d *rowDoubts) at(column int) string {
	for _, c := range d.cells {
		if c.column == column {
			return c.rule
		}
	}
	return ""
}
