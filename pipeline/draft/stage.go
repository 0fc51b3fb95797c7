package draft

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"spadefoot/pipeline/vocabulary"
)

// stage returns the stage of life that is said of all animals of a sheet without a
// column for it, and where: in the name of the tab, or in a title above its table.
func (r *entry) stage() (stage, where string) {
	if r.form.draft == nil || r.form.draft.Has("lifeStage") {
		return "", ""
	}
	if stage = stageIn(r.sheet.Name); stage != "" {
		return stage, "the name of the tab"
	}
	for i, t := range r.tables {
		said := stageIn(strings.Join(titles(t), " "))
		if said == "" || i > 0 && said != stage {
			return "", ""
		}
		stage = said
	}
	return stage, "a line above the table"
}

// shortestStage is the length of a word of a title that may be one for a stage of
// life: shorter ones stand for other things too.
const shortestStage = 5

// stageIn finds the only stage of life that a text names. A text that speaks of
// several, or that denies something, names none.
func stageIn(text string) string {
	list := vocabulary.ByTerm()["lifeStage"]
	found := ""
	for _, w := range strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) }) {
		if slices.Contains(denied, strings.ToLower(w)) {
			return ""
		}
		if utf8.RuneCountInString(w) < shortestStage {
			continue
		}
		if stage, _, _ := list.Known(w, nil); stage != "" && stage != "egg" {
			if found != "" && found != stage {
				return ""
			}
			found = stage
		}
	}
	return found
}

// denied are words that deny what stands beside them.
var denied = []string{"no", "not", "without", "except", "non", "ohne", "nicht", "sin", "sem", "sans", "senza", "zonder", "geen"}
