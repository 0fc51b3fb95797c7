package mapping

import (
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// longestSideLetters is the length up to which a word for a side may be a word
// for something else: "Tibia L" is its length, but where "Tibia R" is beside
// it.
const longestSideLetters = 2

// unpaired are measurements of parts that have no left and no right.
var unpaired = []string{"snoutVentLength", "snoutUrostyleLength", "headBodyLength", "bodyLength", "bodyWidth", "bodyDepth", "length", "totalLength", "forkLength", "standardLength",
	"trunkLength", "tailLength", "tailRegrownLength", "tailHeight", "tailWidth", "headLength", "headWidth", "headHeight", "carapaceLength", "carapaceWidth", "plastronLength", "shellHeight", "culmenLength", "wingspan", "bodyMass"}

// sided returns the sides of the columns that measure a part on the left or on
// the right, and takes the words for them out of what is read of the headings.
func (g *guesser) sided() map[int]string {
	out := map[int]string{}
	for _, words := range g.know.sides {
		parts := map[string][2][]int{} // columns of either side by the rest of the heading
		for i, r := range g.readings {
			if out[i] != "" {
				continue
			}
			for side, w := range words {
				if rest, ok := without(r.words, w); ok && g.namesMeasured(rest) {
					key := strings.Join(rest, " ")
					both := parts[key]
					both[side] = append(both[side], i)
					parts[key] = both
				}
			}
		}
		for _, both := range parts {
			single := len(both[0]) == 1 && len(both[1]) == 1
			if single && g.unlike(both[0][0], both[1][0]) {
				g.unlikeSides = append(g.unlikeSides, both[0][0], both[1][0])
			}
			if !(single && g.alike(both[0][0], both[1][0])) && len([]rune(words[0])) <= longestSideLetters {
				continue
			}
			for side, name := range []string{record.Left, record.Right} {
				for _, i := range both[side] {
					out[i] = name
					g.readings[i].words, _ = without(g.readings[i].words, words[side])
					g.readings[i].whole = strings.Join(g.readings[i].words, " ")
				}
			}
		}
	}
	return out
}

// without takes one word off; ok says that it is there once and something
// else beside it.
func without(words []string, w string) (rest []string, ok bool) {
	at := slices.Index(words, w)
	if at < 0 || len(words) < 2 {
		return words, false
	}
	rest = slices.Delete(slices.Clone(words), at, at+1)
	return rest, !slices.Contains(rest, w)
}

// namesMeasured reports whether words name a measurement.
func (g *guesser) namesMeasured(words []string) bool {
	for _, form := range [][]string{words, g.know.without(words, fillerWord), singular(words)} {
		if key := strings.Join(form, ""); key != "" && (g.isMeasurement(key) || len(g.know.compose(form)) > 0) {
			return true
		}
	}
	return false
}

// unlike reports whether two columns can hardly be two sides of the same animals.
func (g *guesser) unlike(a, b int) bool {
	shift, spread, n := g.ratio(a, b)
	return n >= 5 && max(math.Abs(shift), spread) > unlikeSides
}

// unlikeSides is how far two sides of an animal seldom differ, a logarithm: one is
// hardly half as long again as the other (common practice).
const unlikeSides = 0.4

// alike reports whether two columns can be two sides of the same animals.
func (g *guesser) alike(a, b int) bool {
	shift, spread, n := g.ratio(a, b)
	return n < 5 || math.Abs(shift) < 2*replicateShift && spread < 2*replicateSpread
}
