package screen

import (
	"math"
	"slices"
)

// shiftGrid is a table as row shifts see it: the logs of the cells that may have
// shifted, row after row, and what each row is made of.
type shiftGrid struct {
	from    int      // the first row
	names   []string // of the columns
	known   []int    // places of these by number of the measurement
	lengths int      // which come first
	prior   float64
	sights  []*sight // nil where a row shows nothing
	logs    []float64
	places  []int16 // in the view, -1 where a cell is not in it
}

// shiftRun is a run of rows of a grid, in some columns.
type shiftRun struct {
	columns    []int
	by         int
	odds       float64
	start, end int
}

// shiftGrid lays a table out. A cell that was not taken is NaN.
func (j *search) shiftGrid(table span) *shiftGrid {
	n, rows := len(j.names), table.to-table.from
	g := &shiftGrid{from: table.from, names: j.names, known: j.f.known, lengths: len(j.f.lengths), prior: math.Log(j.f.settings.Odds.Shift), sights: make([]*sight, rows),
		logs: make([]float64, n*rows), places: make([]int16, n*rows)}
	eachAtOnce(rows, func(k int) {
		if s := &j.sights[g.from+k]; s.view != nil && len(s.view.cells) > 1 {
			g.sights[k] = s
		}
		g.layRow(j.rows[g.from+k], k)
	})
	return g
}

func (g *shiftGrid) layRow(r *row, k int) {
	n := len(g.names)
	logs, places := g.logs[k*n:k*n+n], g.places[k*n:k*n+n]
	for c := range logs {
		logs[c], places[c] = nan, -1
	}
	var seen []*cell // those in the view that are still to come, in the order of the row
	if s := g.sights[k]; s != nil {
		seen = s.view.cells
	}
	for at := range r.cells {
		cell := &r.cells[at]
		place := -1
		if len(seen) > 0 && seen[0] == cell {
			place, seen = len(g.sights[k].view.cells)-len(seen), seen[1:]
		}
		c := g.known[cell.number]
		if c < 0 {
			continue
		}
		if cell.mayHaveShifted() {
			logs[c] = cell.log
		}
		if place >= 0 {
			places[c] = int16(place)
		}
	}
}

// kadane finds the run of rows with the largest sum of gains, less the prior,
// row by row (Kadane's algorithm).
type kadane struct {
	sum, odds        float64
	from, start, end int
}

// add adds the gain of a row that comes to another squared distance. No run begins
// with a loss.
func (k *kadane) add(row int, s *sight, square, prior float64) {
	if k.sum > 0 || square < s.even {
		k.extend(row, s, square, prior)
	}
}

func (k *kadane) extend(row int, s *sight, square, prior float64) {
	if k.sum <= 0 {
		k.sum, k.from = 0, row
	}
	if k.sum += s.gain(max(0, square)); k.sum+prior > k.odds {
		k.odds, k.start, k.end = k.sum+prior, k.from, row+1
	}
}

// shifts puts into by how the log of each cell of a row changes if the row gets
// the values of its neighbour, NaN for cells that do not change; nil where none
// does.
func (g *shiftGrid) shifts(k, way int, by []float64) *sight {
	n, o := len(g.names), k+way
	s := g.sights[k]
	if s == nil || o < 0 || o >= len(g.sights) {
		return nil
	}
	own, other, places := g.logs[k*n:k*n+n], g.logs[o*n:o*n+n], g.places[k*n:k*n+n]
	moved := false
	for c := range by {
		by[c] = nan
		if d := other[c] - own[c]; d == d && places[c] >= 0 {
			by[c], moved = d, true
		}
	}
	if !moved {
		return nil
	}
	return s
}

// start finds the best run of all columns, of each by itself and of each pair,
// in one pass over the rows.
func (g *shiftGrid) start(way int) shiftRun {
	n := len(g.names)
	runs := make([]kadane, 1+n+n*(n-1)/2) // column i by itself stands before its pairs with those before it
	for i := range runs {
		runs[i].odds = math.Inf(-1)
	}
	by, alone := make([]float64, n), make([]float64, n)
	for k := range g.sights {
		s := g.shifts(k, way, by)
		if s == nil {
			continue
		}
		places, size, square := g.places[k*n:k*n+n], len(s.view.cells), s.view.square
		at := 1
		for i, d := range by {
			var row []float64
			if d == d {
				row = s.view.inverse[int(places[i])*size:]
				alone[i] = d * (2*s.view.gained[places[i]] + d*row[places[i]])
				square += alone[i]
				runs[at].add(k, s, s.view.square+alone[i], g.prior)
			}
			at++
			for o, e := range by[:i] {
				switch {
				case d == d && e == e:
					both := 2 * d * e * row[places[o]]
					square += both
					runs[at].add(k, s, s.view.square+alone[i]+alone[o]+both, g.prior)
				case d == d:
					runs[at].add(k, s, s.view.square+alone[i], g.prior)
				case e == e:
					runs[at].add(k, s, s.view.square+alone[o], g.prior)
				}
				at++
			}
		}
		runs[0].add(k, s, square, g.prior)
	}
	return g.best(runs, way)
}

// best picks the likeliest of the runs of start.
func (g *shiftGrid) best(runs []kadane, way int) shiftRun {
	best := shiftRun{by: way, odds: math.Inf(-1)}
	take := func(r *kadane, columns ...int) {
		if r.odds > best.odds {
			best = shiftRun{slices.Clone(columns), way, r.odds, r.start, r.end}
		}
	}
	every := make([]int, len(g.names))
	for i := range every {
		every[i] = i
	}
	take(&runs[0], every...)
	at := 1
	for i := range every {
		take(&runs[at], i)
		at++
		for o := range i {
			take(&runs[at], o, i)
			at++
		}
	}
	return best
}

// toggledRuns finds the best run of the columns of another with one more, or without
// it, for each column.
func (g *shiftGrid) toggledRuns(of shiftRun) []shiftRun {
	n := len(g.names)
	columns, runs := make([][]int, n), make([]kadane, n)
	for i := range runs {
		columns[i], runs[i].odds = toggled(of.columns, i), math.Inf(-1)
	}
	by := make([]float64, n)
	for k := range g.sights {
		s := g.shifts(k, of.by, by)
		if s == nil {
			continue
		}
		for i := range runs {
			if square, moved := g.changed(k, s, by, columns[i]); moved {
				runs[i].add(k, s, square, g.prior)
			}
		}
	}
	out := make([]shiftRun, n)
	for i, r := range runs {
		out[i] = shiftRun{columns[i], of.by, r.odds, r.start, r.end}
	}
	return out
}

// changed is the squared distance of a row after the logs of some columns changed,
// false where none of them does.
func (g *shiftGrid) changed(k int, s *sight, by []float64, columns []int) (square float64, moved bool) {
	n := len(g.names)
	places, size := g.places[k*n:k*n+n], len(s.view.cells)
	square = s.view.square
	for i, c := range columns {
		d := by[c]
		if d != d {
			continue
		}
		moved = true
		row := s.view.inverse[int(places[c])*size:]
		change := 2*s.view.gained[places[c]] + d*row[places[c]]
		for _, o := range columns[:i] {
			if e := by[o]; e == e {
				change += 2 * e * row[places[o]]
			}
		}
		square += d * change
	}
	return max(0, square), moved
}

// rowShift names the rows of a run that have a value in any of its columns.
func (g *shiftGrid) rowShift(r shiftRun) rowShift {
	s := rowShift{by: r.by, odds: r.odds}
	for _, c := range r.columns {
		s.columns = append(s.columns, g.names[c])
	}
	n := len(g.names)
	for k := r.start; k < r.end; k++ {
		if slices.ContainsFunc(r.columns, func(c int) bool { return !math.IsNaN(g.logs[k*n+c]) }) {
			s.rows = append(s.rows, g.from+k)
		}
	}
	return s
}
