package survey

import (
	"strings"
	"unicode"

	"go.yaml.in/yaml/v3"
)

// Append adds lines behind the last item of a list in a YAML file; ok is
// false where the list is not written one item to a line.
func Append(text []byte, key string, lines []string) (out []byte, ok bool) {
	var doc yaml.Node
	if yaml.Unmarshal(text, &doc) != nil || len(doc.Content) == 0 {
		return nil, false
	}
	root := doc.Content[0]
	for i := 0; i+1 < len(root.Content); i += 2 {
		list := root.Content[i+1]
		if root.Content[i].Value != key || list.Kind != yaml.SequenceNode || list.Style&yaml.FlowStyle != 0 || len(list.Content) == 0 {
			continue
		}
		last := lastLine(list)
		rows := strings.SplitAfter(string(text), "\n")
		if last > len(rows) {
			return nil, false
		}
		if !strings.HasSuffix(rows[last-1], "\n") {
			rows[last-1] += "\n"
		}
		indent := strings.Repeat(" ", list.Column-1)
		var b strings.Builder
		for _, r := range rows[:last] {
			b.WriteString(r)
		}
		for _, l := range lines {
			b.WriteString(indent + l + "\n")
		}
		for _, r := range rows[last:] {
			b.WriteString(r)
		}
		return []byte(b.String()), true
	}
	return nil, false
}

func lastLine(n *yaml.Node) int {
	line := n.Line + strings.Count(n.Value, "\n")
	for _, c := range n.Content {
		line = max(line, lastLine(c))
	}
	return line
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
