package screen

import (
	"math"
	"slices"

	"spadefoot/pipeline/record"
)

// leastSlide is the number of cells from which a slide is believed.
const leastSlide = 3

// slide is a run of rows whose values in some columns belong to the row by
// rows further down (1) or up (-1).
type slide struct {
	rows    []int // indices of captures in the order of the sheet
	columns []string
	by      int
	odds    float64 // log posterior odds
}

// slides looks for values that slid into the row above or below: in each
// table, the run of rows and the columns that gain most when every animal gets
// the values of its neighbour. Transposed tables are left out.
func (j *search) slides() {
	lengths, masses := j.measurements()
	columns := append(lengths, masses...)
	for _, table := range j.tables() {
		for range mostClaims {
			best := j.bestSlide(table, columns)
			if best.odds <= surely || len(best.rows) < leastSlide {
				break
			}
			lost := j.lost(best)
			j.findings = append(j.findings, j.reportSlide(best, lost))
			j.slideBack(best, lost)
		}
	}
}

// bestSlide starts from each column by itself, each pair and all of them, and
// adds and takes away columns while that makes the slide likelier. The starts
// are tried on all cores; of equals the first counts.
func (j *search) bestSlide(table []int, columns []string) slide {
	own := j.ownCells(table, columns)
	var starts []slide
	for _, by := range []int{-1, 1} {
		starts = append(starts, slide{columns: columns, by: by})
		for i, name := range columns {
			starts = append(starts, slide{columns: []string{name}, by: by})
			for _, other := range columns[:i] {
				starts = append(starts, slide{columns: []string{other, name}, by: by})
			}
		}
	}
	eachOf(len(starts), func(i int) { starts[i] = j.bestRun(table, own, starts[i].columns, starts[i].by) })
	best := slide{odds: math.Inf(-1)}
	for _, s := range starts {
		if s.odds > best.odds {
			best = s
		}
	}
	for range 2 * len(columns) {
		tries := make([]slide, len(columns))
		eachOf(len(tries), func(i int) { tries[i] = j.bestRun(table, own, toggled(best.columns, columns[i]), best.by) })
		better := best
		for _, s := range tries {
			if s.odds > better.odds+1 {
				better = s
			}
		}
		if better.odds <= best.odds {
			break
		}
		best = better
	}
	return best
}

// ownCells gives the own cells of a table, by name of the column, down the
// rows.
func (j *search) ownCells(table []int, columns []string) map[string][]*cell {
	own := make(map[string][]*cell, len(columns))
	for _, name := range columns {
		down := make([]*cell, len(table))
		for k, i := range table {
			down[k] = j.ownCell(i, name)
		}
		own[name] = down
	}
	return own
}

// toggled gives names with one more, or without it.
func toggled(names []string, name string) []string {
	out := slices.Clone(names)
	if at := slices.Index(out, name); at >= 0 {
		return slices.Delete(out, at, at+1)
	}
	return append(out, name)
}

// tables gives the captures of each table in the order of its rows.
func (j *search) tables() [][]int {
	var tables [][]int
	var last *record.Capture
	for i, r := range j.rows { // in the order of addresses
		c := r.capture
		if last == nil || c.File != last.File || c.Sheet != last.Sheet || c.Table != last.Table {
			tables = append(tables, nil)
		}
		tables[len(tables)-1] = append(tables[len(tables)-1], i)
		last = c
	}
	return tables
}

// ownCell gives the cell of a row in a column, nil where it was not taken, is
// explained already or does not stand in the capture's own row.
func (j *search) ownCell(i int, name string) *cell {
	c := j.rows[i].find(name)
	if c == nil || len(c.readings) != 1 || c.first().From.Row != j.rows[i].capture.Row || j.told[c.first().From] {
		return nil
	}
	return c
}

// bestRun finds the run of rows that gains most by a slide of some columns:
// the largest sum of consecutive gains (Kadane's algorithm), less the prior.
func (j *search) bestRun(table []int, own map[string][]*cell, columns []string, by int) slide {
	best := slide{columns: columns, by: by, odds: math.Inf(-1)}
	cells := make([][]*cell, len(columns))
	for i, name := range columns {
		cells[i] = own[name]
	}
	prior := math.Log(j.f.settings.Odds.Shift)
	sum, start, end := 0.0, 0, 0
	from := 0
	for k := range table {
		g, ok := j.slideGain(table, k, cells, by)
		if !ok {
			g = 0
		}
		if sum <= 0 {
			sum, from = 0, k
		}
		if sum += max(g, leastGain); sum+prior > best.odds && ok {
			best.odds, start, end = sum+prior, from, k+1
		}
	}
	for k := start; k < end; k++ {
		if slices.ContainsFunc(cells, func(down []*cell) bool { return down[k] != nil }) {
			best.rows = append(best.rows, table[k])
		}
	}
	return best
}

// slideGain is what row k of a table gains when its values in some columns are
// those of its neighbour.
func (j *search) slideGain(table []int, k int, columns [][]*cell, by int) (float64, bool) {
	n := k + by
	if n < 0 || n >= len(table) {
		return 0, false
	}
	s := &j.sights[table[k]]
	if s.view == nil || len(s.view.cells) < 2 {
		return 0, false
	}
	var room [mostDims]float64
	shift := room[:len(s.view.cells)]
	moved := false
	for _, down := range columns {
		mine, other := down[k], down[n]
		if mine == nil || other == nil {
			continue
		}
		if at := slices.Index(s.view.cells, mine); at >= 0 {
			shift[at], moved = other.log-mine.log, true
		}
	}
	if !moved {
		return 0, false
	}
	return s.gain(s.view.shifted(shift)), true
}

// lostCell is a cell of a slide whose own value stands nowhere.
type lostCell struct {
	row    int
	column string
}

// farOff is how many standard deviations from the rest of its row a cell at
// the end of a slide lies if its own value was lost.
const farOff = 3

// lost lists the cells of a slide that get no value from a neighbour: those
// beside a gap, and the one past the end that gave its value and fits badly.
func (j *search) lost(s slide) []lostCell {
	end := s.rows[len(s.rows)-1]
	if s.by < 0 {
		end = s.rows[0]
	}
	var out []lostCell
	for _, name := range s.columns {
		for _, i := range s.rows {
			n := j.neighbour(i, s.by)
			if j.ownCell(i, name) != nil && (n < 0 || j.ownCell(n, name) == nil) {
				out = append(out, lostCell{i, name})
			}
		}
		n := j.neighbour(end, s.by)
		if n < 0 || j.ownCell(n, name) == nil || j.sights[n].view == nil {
			continue
		}
		v := j.sights[n].view
		if at := v.at(name); at >= 0 && math.Abs(v.alone(at)) > farOff {
			out = append(out, lostCell{n, name})
		}
	}
	return out
}

// slideBack writes the neighbours' values into the rows of a slide and takes
// the cells whose own value is lost out of their rows.
func (j *search) slideBack(s slide, lost []lostCell) {
	for _, name := range s.columns {
		order := slices.Clone(s.rows)
		if s.by < 0 {
			slices.Reverse(order)
		}
		values := make([]cell, len(order))
		for k, i := range order {
			if n := j.neighbour(i, s.by); n >= 0 {
				if other := j.ownCell(n, name); other != nil {
					values[k] = *other
				}
			}
		}
		for k, i := range order {
			if c := j.ownCell(i, name); c != nil && values[k].readings != nil {
				c.set(values[k].value, values[k].resolution*values[k].value)
				j.tell(c)
			}
		}
	}
	touched := slices.Clone(s.rows)
	for _, l := range lost {
		r := j.rows[l.row]
		j.tell(r.find(l.column))
		r.cells = slices.DeleteFunc(slices.Clone(r.cells), func(c cell) bool { return c.measurement == l.column })
		touched = append(touched, l.row)
	}
	for _, i := range touched {
		j.see(i)
	}
}

// neighbour gives the row of the same table that many rows on, -1 if none.
func (j *search) neighbour(i, by int) int {
	n := i + by
	if n < 0 || n >= len(j.rows) {
		return -1
	}
	a, b := j.rows[i].capture, j.rows[n].capture
	if a.File != b.File || a.Sheet != b.Sheet || a.Table != b.Table {
		return -1
	}
	return n
}
