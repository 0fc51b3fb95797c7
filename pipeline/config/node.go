package config

import (
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
)

// Value returns the value of a key, nil where there is none.
func Value(n *yaml.Node, key string) *yaml.Node {
	if n == nil || n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}

// OnePerLine reports whether a node is a list that has its items on lines of their own.
func OnePerLine(list *yaml.Node) bool {
	return list != nil && list.Kind == yaml.SequenceNode && list.Style&yaml.FlowStyle == 0 && len(list.Content) > 0
}

// AppendItems writes lines behind the last item of such a list in the text that it is from.
func AppendItems(text []byte, list *yaml.Node, items []string) []byte {
	lines := strings.SplitAfter(string(text), "\n")
	last := lastLine(list)
	if !strings.HasSuffix(lines[last-1], "\n") {
		lines[last-1] += "\n"
	}
	var added []string
	for _, item := range items {
		added = append(added, strings.Repeat(" ", list.Column-1)+item+"\n")
	}
	return []byte(strings.Join(slices.Concat(lines[:last], added, lines[last:]), ""))
}

func lastLine(n *yaml.Node) int {
	line := n.Line
	if n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0 { // within quotes a break may be written as \n
		line += strings.Count(n.Value, "\n")
	}
	for _, c := range n.Content {
		line = max(line, lastLine(c))
	}
	return line
}
