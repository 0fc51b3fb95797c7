package taxon

import (
	"strings"
	"sync"

	"spadefoot/mappings"
	"spadefoot/pipeline/quantity"
	"spadefoot/schemas"
)

// Kinds of words in mappings/animal_words.csv.
const (
	vernacularWord = "vernacular"
	remarkWord     = "remark"
	unknownWord    = "unknown"
	speciesName    = "name" // of which the second word is an everyday word too
)

type animalWord struct {
	Word  string `csv:"word"`
	Words string `csv:"words"` // in animal_groups.csv and catch_words.csv
	Kind  string `csv:"kind"`
}

// animalWords maps a folded word to its kind, or to the rank of the group that
// it names.
var animalWords = sync.OnceValue(func() map[string]string {
	kinds := map[string]string{}
	for _, row := range schemas.Must(mappings.Table[animalWord]("animal_words.csv")) {
		kinds[letters(row.Word)] = row.Kind
	}
	return kinds
})

// animalGenera are genera of which many animals are caught and measured, by their
// letters, without those that are everyday words as well: rana.
var animalGenera = sync.OnceValue(func() map[string]bool {
	genera, words := map[string]bool{}, map[string]bool{}
	for _, row := range schemas.Must(mappings.Table[animalWord]("animal_groups.csv")) {
		for w := range strings.SplitSeq(row.Words, "|") {
			switch row.Kind {
			case "genus":
				genera[letters(w)] = true
			case "word":
				words[letters(w)] = true
			}
		}
	}
	for w := range words {
		delete(genera, w)
	}
	return genera
})

// groupRank returns the rank of a large group such as Anura, or "".
func groupRank(word string) string {
	switch kind := animalWords()[letters(word)]; kind {
	case vernacularWord, remarkWord, unknownWord, speciesName:
		return ""
	default:
		return kind
	}
}

// everyday reports whether the word is of everyday language and so is not part
// of a scientific name.
func everyday(word string) bool {
	switch animalWords()[letters(word)] {
	case vernacularWord, remarkWord, unknownWord:
		return true
	}
	return false
}

// unidentified reports whether the text says that the animal was not
// identified.
func unidentified(text string) bool {
	return strings.Trim(text, "?-–—. ") == "" || quantity.Mark(text) || animalWords()[letters(text)] == unknownWord
}

// qualifiers that put a name in doubt, by their letters.
var qualifierWords = map[string]string{
	"cf": "cf.", "conf": "cf.", "aff": "aff.", "nr": "near", "near": "near", "?": "?",
	"prob": "prob.", "probably": "prob.", "poss": "poss.", "possibly": "poss.", "maybe": "maybe",
	"wahrscheinlich": "prob.", "vielleicht": "maybe", "quizas": "maybe", "talvez": "maybe", "peutetre": "maybe",
}

// qualifier returns the usual form of a word of doubt, or "".
func qualifier(token string) string {
	if token == "?" {
		return token
	}
	return qualifierWords[letters(token)]
}

// words for a species that is not named, and those that widen or narrow a name.
var (
	unnamedWords = map[string]bool{"sp": true, "spp": true, "species": true, "spec": true}
	senseWords   = map[string]bool{"complex": true, "group": true, "gr": true, "agg": true, "aggr": true, "sl": true, "slat": true, "sstr": true, "ss": true, "sensu": true, "lato": true, "stricto": true, "komplex": true, "complejo": true, "complexe": true}
	rankWords    = map[string]bool{"ssp": true, "subsp": true, "var": true, "f": true, "forma": true, "morph": true}
)
