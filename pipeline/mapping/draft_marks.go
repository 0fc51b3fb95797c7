package mapping

import (
	"fmt"

	"spadefoot/pipeline/vocabulary"
)

// Repeats of marks that change what an animal keeps: its kind and its sex.
const (
	minChanged  = 10   // repeats, and least of those that change nothing
	manyChanged = 0.2  // share of the repeats beyond what single slips explain
	fewChanged  = 0.05 // share that may be slips
)

// marksWithin proposes the place as that within which a mark names one animal, and says
// why, where repeats at another place change kind or sex and those at the same one
// do not; "" where nothing shows it. Texts are of each capture, by term.
func marksWithin(texts map[string][]string) (term, why string) {
	name := "scientificName"
	if len(texts[name]) == 0 {
		name = "vernacularName"
	}
	last := map[string]int{}
	var apart, together struct{ all, changed int }
	for i, mark := range texts["organismID"] {
		if mark = vocabulary.Fold(mark); mark == "" {
			continue
		}
		if before, again := last[mark]; again {
			to := &together
			if otherText(texts["locality"], before, i) {
				to = &apart
			}
			to.all++
			if otherText(texts[name], before, i) || otherText(texts["sex"], before, i) {
				to.changed++
			}
		}
		last[mark] = i
	}
	if apart.changed < minChanged || float64(apart.changed) < manyChanged*float64(apart.all) || float64(together.changed) > fewChanged*float64(together.all) {
		return "", ""
	}
	return "locality", fmt.Sprintf("of %d recaptures at another place %d differ in kind or sex, of %d at the same place %d",
		apart.all, apart.changed, together.all, together.changed)
}

// otherText reports whether two captures have different texts of a term, of which
// both have one.
func otherText(texts []string, a, b int) bool {
	return max(a, b) < len(texts) && texts[a] != "" && texts[b] != "" && vocabulary.Fold(texts[a]) != vocabulary.Fold(texts[b])
}
