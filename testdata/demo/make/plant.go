package main

import (
	"strconv"
	"strings"
)

// planting is the list of slips, in the order in which they were made, below its
// headings.
type planting struct{ rows [][]string }

// slip changes one cell and writes down what must be found there.
type slip struct {
	row        int // index of the capture within its sheet, from 0
	heading    string
	kind       string                      // what the person did
	rule       string                      // the rule that has to find it
	suggestion string                      // text that the suggestion must hold; "" for none
	write      func(old string) string     // what is in the sheet instead
	also       func(row []string, g *grid) // further cells of the same slip
}

func (p *planting) plant(g *grid, slips []slip) {
	for _, s := range slips {
		col := g.column(s.heading)
		row := g.rows[s.row]
		right := row[col]
		key := row[0]
		row[col] = s.write(right)
		if s.also != nil {
			s.also(row, g)
		}
		want := strings.ReplaceAll(s.suggestion, "{right}", right)
		p.rows = append(p.rows, []string{g.file, g.tab, strconv.Itoa(s.row + 2), strconv.Itoa(col + 1), key,
			s.heading, right, row[col], s.kind, s.rule, want})
	}
}

func put(s string) func(string) string { return func(string) string { return s } }

func times(factor float64, decimals int) func(string) string {
	return func(old string) string {
		comma := strings.Contains(old, ",")
		x, err := strconv.ParseFloat(strings.Replace(old, ",", ".", 1), 64)
		if err != nil {
			panic(err)
		}
		out := strconv.FormatFloat(x*factor, 'f', decimals, 64)
		if comma {
			out = strings.Replace(out, ".", ",", 1)
		}
		return out
	}
}

// swapDigits exchanges the first two digits.
func swapDigits(old string) string { return old[1:2] + old[0:1] + old[2:] }
