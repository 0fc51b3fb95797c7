package taxon

import (
	"strings"
	"sync"

	"spadefoot/mappings"
	"spadefoot/schemas"
)

// Catch is what a text in place of a name says of a catch.
type Catch uint8

// What a text may say.
const (
	Unstated Catch = iota
	Nothing        // nothing was caught: "empty", "no catch"
	Shut           // nothing could be caught: "trap closed", "no trap"
)

// catchWords maps a folded word of mappings/catch_words.csv to its kinds.
var catchWords = sync.OnceValue(func() map[string]string {
	kinds := map[string]string{}
	for _, row := range schemas.Must(mappings.Table[animalWord]("catch_words.csv")) {
		for word := range strings.SplitSeq(row.Words, "|") {
			kinds[letters(word)] = row.Kind
		}
	}
	return kinds
})

// CatchOf is what a text under Species says of a catch if each of its words is about
// that: "empty", "no snakes", "trap not set". It is Unstated if an animal or anything
// else is named.
func CatchOf(text string) Catch {
	has := map[string]bool{}
	for word := range strings.FieldsSeq(text) {
		kind := catchWords()[letters(word)]
		if kind == "" && animalWords()[letters(word)] == vernacularWord {
			kind = "animal"
		}
		if kind == "" || strings.Contains(word, "?") {
			return Unstated
		}
		has[kind] = true
	}
	switch {
	case has["no"] && (has["none"] || has["shut"]):
		return Unstated // "not empty"
	case has["shut"], has["no"] && (has["open"] || has["trap"] && !has["animal"]):
		return Shut
	case has["none"], has["no"] && has["animal"]:
		return Nothing
	}
	return Unstated
}
