package vocabulary

import (
	"strings"
	"unicode"
)

// BesideTerms are the terms whose words are in each other's columns, since one
// column often says several things of an animal: M, F and J under Sex, "F
// (gravid)", "Ad M" under Sex/Age.
var BesideTerms = []string{"sex", "lifeStage", "reproductiveCondition"}

// Pieces are the words of a text that says several things of an animal.
func Pieces(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune("()[],;/+&", r) })
}
