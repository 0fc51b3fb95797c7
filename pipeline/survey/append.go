package survey

import (
	"strings"
	"unicode"

	"go.yaml.in/yaml/v3"

	"spadefoot/pipeline/config"
)

// Append adds lines behind the last item of a list in a YAML file; ok is
// false where the list is not written one item to a line.
func Append(text []byte, key string, lines []string) (out []byte, ok bool) {
	var doc yaml.Node
	if yaml.Unmarshal(text, &doc) != nil || len(doc.Content) == 0 {
		return nil, false
	}
	list := config.Value(doc.Content[0], key)
	if !config.OnePerLine(list) {
		return nil, false
	}
	return config.AppendItems(text, list, lines), true
}

// Slug makes the part of a file name before its ending of any text: words of
// small letters and digits with hyphens between.
func Slug(s string) string {
	words := strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
		return r > unicode.MaxASCII || (!unicode.IsLetter(r) && !unicode.IsDigit(r))
	})
	if len(words) == 0 {
		return "sheet"
	}
	return strings.Join(words, "-")
}
