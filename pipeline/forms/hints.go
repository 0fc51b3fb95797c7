package forms

import (
	"embed"
	"strings"
	"sync"
	"unicode"

	"spadefoot/schemas"
)

//go:embed hints.csv
var hintFiles embed.FS

// hint says how a Darwin Core term is written on a form.
type hint struct {
	Term        string  `csv:"term"`
	Label       string  `csv:"label"`
	Session     string  `csv:"session"`
	Characters  float64 `csv:"characters"`
	Millimetres float64 `csv:"millimetres"`
	Grow        float64 `csv:"grow"`
	Says        string  `csv:"says"`
}

var hints = sync.OnceValue(func() map[string]hint {
	byTerm := map[string]hint{}
	for _, h := range schemas.Must(schemas.Decode[hint](schemas.Folder{FS: hintFiles}, "hints.csv")) {
		byTerm[h.Term] = h
	}
	return byTerm
})

// hintOf returns the hint of a term; a term without one is named by its words.
func hintOf(term string) hint {
	if h, ok := hints()[term]; ok {
		return h
	}
	return hint{Term: term, Label: spaced(term), Characters: 16, Millimetres: 20, Grow: 0.4}
}

// spaced writes lowerCamelCase as words with a capital first letter.
func spaced(name string) string {
	var b strings.Builder
	for i, r := range name {
		switch {
		case i == 0:
			b.WriteRune(unicode.ToUpper(r))
		case unicode.IsUpper(r):
			b.WriteByte(' ')
			b.WriteRune(unicode.ToLower(r))
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}
