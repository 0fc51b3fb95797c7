package infer

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// comparison are the captures of one life stage as far as they could be
// compared.
type comparison struct {
	at   record.Address // sheet of the first of them
	taxa map[string]bool
	n    int // named to the species, with a shape
	// sets counts the captures with a shape, named or not, by what was
	// measured.
	sets map[measuredSet]int
}

// comparisons are those of a survey, by life stage.
type comparisons map[string]*comparison

// add counts a capture that has a shape.
func (cs comparisons) add(c *record.Capture, k *lineage, set measuredSet) {
	g := cs.of(k.stage)
	g.sets[set]++
	if k.species == "" {
		return
	}
	g.at = earlier(g.at, c)
	g.taxa[k.species] = true
	g.n++
}

// of is the comparison of a life stage.
func (cs comparisons) of(stage string) *comparison {
	g := cs[stage]
	if g == nil {
		g = &comparison{taxa: map[string]bool{}, sets: map[measuredSet]int{}}
		cs[stage] = g
	}
	return g
}

// earlier returns the sheet that comes first: the one so far, if there is one, or
// that of the capture.
func earlier(sheet record.Address, c *record.Capture) record.Address {
	if own := (record.Address{File: c.File, Sheet: c.Sheet}); sheet.File == "" || own.Before(sheet) {
		return record.Address{File: strings.Clone(own.File), Sheet: strings.Clone(own.Sheet)}
	}
	return sheet
}

// placeable counts the captures that the models can place. Where a fit on some
// of the measurements breaks down for a single capture it is one too many.
func (cs comparisons) placeable(models map[string]*Model, names *numbering) int {
	n := 0
	for stage, g := range cs {
		m := models[stage]
		if m == nil || m.Missing != "" {
			continue
		}
		for set, count := range g.sets {
			if m.fitOn(set.among(m.Measurements, names)) != nil {
				n += count
			}
		}
	}
	return n
}

// declined says for each life stage with two names or more, or with something
// to learn from, why captures were not compared or not with all names.
func (cs comparisons) declined(models map[string]*Model, unsure int, s Settings) []record.Finding {
	var out []record.Finding
	for _, stage := range slices.Sorted(maps.Keys(cs)) {
		g, m := cs[stage], models[stage]
		if g.n == 0 {
			continue
		}
		if m == nil {
			m = &Model{Stage: stage, settings: s}
			m.decline(unsure)
		}
		var reason string
		switch {
		case m.Missing != "" && (len(g.taxa) > 1 || len(m.examples) > 0):
			reason = "species not compared: " + m.Missing
		case m.Missing == "" && len(m.LeftTaxa) > 0:
			reason = fmt.Sprintf("compared only with %s; too few to learn from (%d wanted): %s",
				strings.Join(m.Taxa, ", "), m.least(), strings.Join(m.LeftTaxa, ", "))
		default:
			continue
		}
		out = append(out, record.Finding{Rule: "too-little-training", Level: record.Note, At: g.at, Field: "scientificName",
			Group: stage, Reason: reason + ". " + speciesCaution,
			Figures: figures("value", float64(len(m.examples)), "n", float64(g.n), "threshold", float64(m.least()))})
	}
	return out
}
