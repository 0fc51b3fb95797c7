package screen

import (
	"slices"
	"strings"

	"spadefoot/pipeline/statistics"
)

// shape is a model with the residuals of its animals from its lines.
type shape struct {
	model *model
	kept  []observation
	rows  [][]float64 // for the pool: by index of the model, in scales of the line; NaN where not taken
}

// pooledRows is the number of animals that the correlation of scarce taxa comes
// from, at most: of each taxon as many, by hash. A correlation of 0.5 from so
// many is good to 0.01.
const pooledRows = 20000

// residuals returns how far each animal lies from each line, in robust standard
// deviations. Column 0 is not used.
func (m *model) residuals(kept []observation) [][]float64 {
	rows := make([][]float64, 0, len(kept))
	for i := range kept {
		o := &kept[i]
		size := o.value(m.names[0])
		row := make([]float64, len(m.names))
		for j := 1; j < len(m.names); j++ {
			rest := o.value(m.names[j]) - m.lines[j].rise(size)
			c, scale := m.lines[j].nearest(o.sex, rest)
			row[j] = (rest - c) / scale
		}
		rows = append(rows, row)
	}
	return rows
}

const (
	mcdStarts   = 60
	rowsPerTerm = 8 // rows wanted per measurement before a correlation is believed
)

// relate gives every model the correlation of its residuals by the minimum
// covariance determinant (Rousseeuw and Van Driessen 1999): from the animals
// of the taxon where enough have every measurement, else from those of all
// taxa, residuals being in scales of their own lines, else none.
func relate(shapes []shape) {
	total := 0
	for _, s := range shapes {
		total += len(s.kept)
	}
	share := total
	if total > pooledRows {
		share = max(1, pooledRows/len(shapes))
	}
	related := make([]bool, len(shapes))
	eachOf(len(shapes), func(i int) {
		m := shapes[i].model
		rows := m.residuals(shapes[i].kept)
		m.relation = identity(len(m.names))
		m.related = "none: too few animals with every measurement"
		if related[i] = m.relateFrom(rows, columnsOf(m)); related[i] {
			m.related = "animals of the taxon"
		}
		shapes[i].rows = slices.Clone(rows[:min(share, len(rows))])
	})
	same := map[string]*model{} // by measurements: the pool is then the same
	for i := range shapes {
		if related[i] {
			continue
		}
		m := shapes[i].model
		names := strings.Join(m.names, "\n")
		if like := same[names]; like != nil {
			m.relation, m.related = like.relation, like.related
			continue
		}
		same[names] = m
		if rows, columns := pool(shapes, m); m.relateFrom(rows, columns) {
			m.related = "animals of all taxa"
		}
	}
}

func columnsOf(m *model) []int {
	var columns []int
	for j := 1; j < len(m.names); j++ {
		columns = append(columns, j)
	}
	return columns
}

// pool gathers the residuals of all models under the names of m.
func pool(shapes []shape, m *model) (rows [][]float64, columns []int) {
	for _, s := range shapes {
		for _, from := range s.rows {
			row := make([]float64, len(m.names))
			for j := 1; j < len(m.names); j++ {
				row[j] = nan
				if at, ok := s.model.index[m.names[j]]; ok && at > 0 {
					row[j] = from[at]
				}
			}
			rows = append(rows, row)
		}
	}
	return rows, columnsOf(m)
}

// relateFrom sets the correlation from rows that hold every one of columns. A
// measurement that few animals have is left uncorrelated with the rest, so
// that enough complete rows remain.
func (m *model) relateFrom(rows [][]float64, columns []int) bool {
	columns = slices.Clone(columns)
	for len(columns) > 1 {
		whole := complete(rows, columns)
		if len(whole) >= rowsPerTerm*len(columns) && 2*len(whole) >= len(rows) {
			return m.setRelation(whole, columns)
		}
		columns = dropScarcest(rows, columns)
	}
	return false
}

// dropScarcest takes the column away that the fewest rows have; the last of
// equals.
func dropScarcest(rows [][]float64, columns []int) []int {
	at, fewest := 0, len(rows)+1
	for i, c := range columns {
		n := 0
		for _, r := range rows {
			if finite(r[c]) {
				n++
			}
		}
		if n <= fewest {
			at, fewest = i, n
		}
	}
	return slices.Delete(columns, at, at+1)
}

func complete(rows [][]float64, columns []int) [][]float64 {
	var whole [][]float64
next:
	for _, r := range rows {
		part := make([]float64, len(columns))
		for i, c := range columns {
			if part[i] = r[c]; !finite(part[i]) {
				continue next
			}
		}
		whole = append(whole, part)
	}
	return whole
}

// setRelation turns the robust covariance of whole rows into correlations,
// drawn a little towards none so that near copies of a measurement do no harm.
func (m *model) setRelation(whole [][]float64, columns []int) bool {
	fit, err := statistics.FastMCD(whole, statistics.MCDOptions{Starts: mcdStarts})
	if err != nil {
		return false
	}
	n, p := float64(len(whole)), float64(len(columns))
	keep := n / (n + 2*p)
	for a, ja := range columns {
		for b, jb := range columns {
			if a != b {
				m.relation[ja][jb] = keep * correlation(fit.Covariance, a, b)
			}
		}
	}
	return true
}
