package infer

import (
	"strconv"

	"spadefoot/pipeline/record"
)

// What measurements can't do, said in every text.
const (
	sexCaution     = "Measurements and signs alone do not settle the sex: calls, eggs or genetics do."
	speciesCaution = "Measurements alone do not settle an identification: calls and genetics do."
)

func figures(pairs ...any) []record.Figure {
	var out []record.Figure
	for i := 0; i+1 < len(pairs); i += 2 {
		out = append(out, record.Figure{Name: pairs[i].(string), Value: pairs[i+1].(float64)})
	}
	return out
}

// percent writes a probability for people without ever rounding it to
// certainty.
func percent(p float64) string {
	switch {
	case p > 0.999:
		return "over 99.9 %"
	case p < 0.001:
		return "under 0.1 %"
	}
	return strconv.FormatFloat(100*p, 'f', 1, 64) + " %"
}

// small writes a probability that may be tiny.
func small(p float64) string {
	if p < 1e-6 {
		return "under 0.000001"
	}
	return strconv.FormatFloat(p, 'g', 2, 64)
}
