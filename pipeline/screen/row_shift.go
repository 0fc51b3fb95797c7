package screen

import (
	"math"
	"slices"

	"spadefoot/pipeline/record"
)

// minShift is the number of cells from which a row shift is believed.
const minShift = 3

// rowShift is a run of rows whose values in some columns belong to the row by
// rows further down (1) or up (-1).
type rowShift struct {
	rows    []int // indices of captures in the order of the sheet
	columns []string
	by      int
	odds    float64 // log posterior odds
}

// rowShifts looks for values that shifted into the row above or below: in a
// table, the run of rows and the columns that gain most when every animal gets
// the values of its neighbour. Transposed tables are left out. It returns the table
// once they are put back.
func (j *search) rowShifts(table span) *shiftGrid {
	g := j.shiftGrid(table)
	for range maxClaims {
		best := g.bestShift()
		if best.odds <= surely || len(best.rows) < minShift || best.odds-g.byChance() <= surely {
			break
		}
		lost := j.lost(best)
		j.pieceOf(g, best, lost)
		j.shiftBack(best, lost)
		g = j.shiftGrid(table)
	}
	return g
}

// unshifted are distances, in rows, over which no values shift.
var unshifted = [...]int{-5, -4, -3, -2, 2, 3, 4, 5}

// byChance is the log odds that a row shift over a distance reaches that no values
// shift over: what the table gives by chance alone, since neighbours are alike,
// and unlike rows are better off with the values of any other row.
func (g *shiftGrid) byChance() float64 {
	var odds [len(unshifted)]float64
	eachOf(len(unshifted), func(i int) { odds[i] = g.start(unshifted[i]).odds })
	return max(0, slices.Max(odds[:]))
}

// bestShift starts from each column by itself, each pair and all of them, and
// adds and takes away columns while that makes the row shift likelier. Of equals
// the first counts.
func (g *shiftGrid) bestShift() rowShift {
	ways := [2]int{-1, 1}
	var starts [2]shiftRun
	eachOf(len(ways), func(i int) { starts[i] = g.start(ways[i]) })
	best := starts[0]
	if starts[1].odds > best.odds {
		best = starts[1]
	}
	for range 2 * len(g.names) {
		better := best
		for _, s := range g.toggledRuns(best) {
			if s.odds > better.odds+1 {
				better = s
			}
		}
		if better.odds <= best.odds {
			break
		}
		best = better
	}
	return g.rowShift(best)
}

// toggled returns columns with one more, or without it.
func toggled(columns []int, one int) []int {
	out := slices.Clone(columns)
	if at := slices.Index(out, one); at >= 0 {
		return slices.Delete(out, at, at+1)
	}
	return append(out, one)
}

// tables returns the rows of each table.
func (j *search) tables() (tables []span) {
	var last *record.Capture
	for i, r := range j.rows { // in the order of addresses
		c := r.capture
		if last == nil || c.File != last.File || c.Sheet != last.Sheet || c.Table != last.Table {
			tables = append(tables, span{i, i})
		}
		tables[len(tables)-1].to++
		last = c
	}
	return tables
}

// ownCell returns the cell of a row in a column, nil where it was not taken, is
// explained already or does not stand in the capture's own row.
func (j *search) ownCell(i int, name string) *cell {
	if c := j.rows[i].find(name); c != nil && c.mayHaveShifted() {
		return c
	}
	return nil
}

// mayHaveShifted reports whether a cell is in the row of its capture, read once, and is
// not explained already.
func (c *cell) mayHaveShifted() bool { return c.ownRow && !c.explained }

// lostCell is a cell of a row shift whose own value stands nowhere.
type lostCell struct {
	row    int
	column string
}

// farOff is how many standard deviations from the rest of its row a cell at
// the end of a row shift lies if its own value was lost.
const farOff = 3

// lost lists the cells of a row shift that get no value from a neighbour: those
// beside a gap, and the one past the end that gave its value and fits badly.
func (j *search) lost(s rowShift) []lostCell {
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

// shiftBack writes the neighbours' values into the rows of a row shift and takes
// the cells whose own value is lost out of their rows.
func (j *search) shiftBack(s rowShift, lost []lostCell) {
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
				c.become(values[k].value, &values[k])
				j.markExplained(c)
			}
		}
	}
	touched := slices.Clone(s.rows)
	for _, l := range lost {
		r := j.rows[l.row]
		j.markExplained(r.find(l.column))
		r.cells = slices.DeleteFunc(slices.Clone(r.cells), func(c cell) bool { return c.measurement == l.column })
		touched = append(touched, l.row)
	}
	for _, i := range touched {
		j.see(i)
	}
}

// neighbour returns the row of the same table that many rows on, -1 if none.
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
