package infer

import (
	"math"

	"spadefoot/pipeline/vocabulary"
)

// shaping turns the logs of p measurements into shape and size after Mosimann
// (1970, Journal of the American Statistical Association 65:930–945): size is
// the log of the geometric mean, shape the log ratio of each measurement to it.
// The p ratios add up to 0, so the discriminant works on p-1 orthonormal
// contrasts of them (Helmert) and on size; frame leads back to the ratios.
type shaping struct {
	names     []string
	contrasts [][]float64 // p-1 rows of p
	frame     [][]float64 // p+1 rows of p: the ratios, then size
	blocks    []int       // shape has one scale, size its own
}

func newShaping(names []string) shaping {
	p := len(names)
	sh := shaping{names: names, blocks: make([]int, p)}
	sh.blocks[p-1] = 1
	for r := 1; r < p; r++ {
		row := make([]float64, p)
		norm := math.Sqrt(float64(r * (r + 1)))
		for j := range r {
			row[j] = 1 / norm
		}
		row[r] = -float64(r) / norm
		sh.contrasts = append(sh.contrasts, row)
	}
	for j := range p {
		row := make([]float64, p)
		for r := range sh.contrasts {
			row[r] = sh.contrasts[r][j]
		}
		sh.frame = append(sh.frame, row)
	}
	last := make([]float64, p)
	last[p-1] = 1
	sh.frame = append(sh.frame, last)
	return sh
}

// ratios returns the log-shape ratios and, last, size.
func (sh shaping) ratios(logs features) []float64 {
	out := make([]float64, len(sh.names)+1)
	size := &out[len(sh.names)]
	for j, n := range sh.names {
		out[j], _ = logs.of(n)
		*size += out[j] / float64(len(sh.names))
	}
	for j := range sh.names {
		out[j] -= *size
	}
	return out
}

// columns returns what the discriminant works on.
func (sh shaping) columns(logs features) []float64 {
	u := sh.ratios(logs)
	p := len(sh.names)
	out := make([]float64, p)
	for r, row := range sh.contrasts {
		for j, w := range row {
			out[r] += w * u[j]
		}
	}
	out[p-1] = u[p]
	return out
}

// label names a row of the frame for people.
func (sh shaping) label(row int) string {
	if row == len(sh.names) {
		return "overall size"
	}
	return vocabulary.Label(sh.names[row]) + " for its size"
}

// measurement names a row of the frame as a field: "" for size.
func (sh shaping) measurement(row int) string {
	if row == len(sh.names) {
		return ""
	}
	return sh.names[row]
}
