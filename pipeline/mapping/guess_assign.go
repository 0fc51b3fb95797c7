package mapping

import (
	"fmt"
	"math"
)

// assign gives every item one of its candidates, or none, so that the sum of
// the scores is the largest and no meaning is given twice. What scores no more
// than nothing does takes no part.
func (g *guesser) assign() {
	nodes := map[string]int{}
	var scores [][]float64
	var picks []map[int]*candidate
	var items []*item
	for i, it := range g.items {
		row := map[int]*candidate{}
		for k, c := range it.candidates {
			if c.score <= 0 {
				continue
			}
			name := meaningKey(c.meaning)
			if c.shared || name == "" {
				name = fmt.Sprintf("%d own %d", i, k)
			}
			if _, ok := nodes[name]; !ok {
				nodes[name] = len(nodes)
			}
			if old := row[nodes[name]]; old == nil || old.score < c.score {
				row[nodes[name]] = c
			}
		}
		if len(row) > 0 {
			picks, items = append(picks, row), append(items, it)
		}
	}
	n := len(nodes) + len(items) // its own node for each item that is given nothing
	for i, row := range picks {
		line := make([]float64, n)
		for j := range line {
			line[j] = -1e6
		}
		for j, c := range row {
			line[j] = c.score
			if g.profiles[items[i].columns[0]].filled == 0 {
				line[j] *= emptyShare
			}
		}
		line[len(nodes)+i] = 0
		scores = append(scores, line)
	}
	for i, j := range bestAssignment(scores) {
		if c := picks[i][j]; c != nil {
			items[i].chosen = c
		}
	}
}

// emptyShare is what the score of a column without values counts beside those of
// columns that hold some: it takes what they leave.
const emptyShare = 0.01

// bestAssignment gives each row its own column so that the sum of the
// scores is largest. There must be as many columns as rows at least. The
// method is Kuhn's (1955) in the form with potentials, O(rows² × columns).
func bestAssignment(scores [][]float64) []int {
	if len(scores) == 0 {
		return nil
	}
	rows, columns := len(scores), len(scores[0])
	u, v := make([]float64, rows+1), make([]float64, columns+1)
	owner, from := make([]int, columns+1), make([]int, columns+1) // row of a column; column before it on the way
	for i := 1; i <= rows; i++ {
		owner[0] = i
		at := 0
		least, done := make([]float64, columns+1), make([]bool, columns+1)
		for j := range least {
			least[j] = math.Inf(1)
		}
		for owner[at] != 0 {
			done[at] = true
			row, next, delta := owner[at], 0, math.Inf(1)
			for j := 1; j <= columns; j++ {
				if done[j] {
					continue
				}
				if cost := -scores[row-1][j-1] - u[row] - v[j]; cost < least[j] {
					least[j], from[j] = cost, at
				}
				if least[j] < delta {
					delta, next = least[j], j
				}
			}
			for j := 0; j <= columns; j++ {
				if done[j] {
					u[owner[j]] += delta
					v[j] -= delta
				} else {
					least[j] -= delta
				}
			}
			at = next
		}
		for at != 0 {
			owner[at] = owner[from[at]]
			at = from[at]
		}
	}
	given := make([]int, rows)
	for j := 1; j <= columns; j++ {
		if owner[j] > 0 {
			given[owner[j]-1] = j - 1
		}
	}
	return given
}
