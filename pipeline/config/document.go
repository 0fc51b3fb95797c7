package config

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"spadefoot/pipeline/record/budget"
)

// Document is a YAML file with the lines of its keys.
type Document struct {
	File string
	Root any // map[string]any, []any, string, int, float64, bool or nil
	node *yaml.Node
	from map[string]string             // key path → flag or variable that set it
	keys map[*yaml.Node]map[string]int // where the keys of a node stand, once one was looked for
}

var yamlLine = regexp.MustCompile(`line (\d+)`)

// bytesOfNode is what a node takes in a file, at the most.
const bytesOfNode = 16

// Parse reads one YAML document. A date stays the text that was written. The
// error is of type Mistakes, or a *budget.Exceeded where the document would come
// to more nodes than it may.
func Parse(file string, text []byte) (*Document, error) {
	left := budget.Usual().Nodes
	if len(text)/bytesOfNode > left {
		return nil, &budget.Exceeded{File: file, Key: budget.Nodes, What: fmt.Sprintf("the file is larger than %d bytes", left*bytesOfNode)}
	}
	var node yaml.Node
	if err := yaml.Unmarshal(text, &node); err != nil {
		return nil, mistakeOf(file, text, err, yamlFault)
	}
	d := &Document{File: file, node: &node, from: map[string]string{}}
	if len(node.Content) == 0 {
		d.Root = map[string]any{}
		return d, nil
	}
	root, err := (&builder{file, left, left}).plain(node.Content[0], 0)
	if errors.As(err, new(*budget.Exceeded)) {
		return nil, err
	}
	if err != nil {
		return nil, mistakeOf(file, text, err, func(message, _ string) string { return message })
	}
	d.Root = root
	return d, nil
}

// mistakeOf is the mistake that ends the reading. says puts it into words, from the
// message of the library and the text of the line.
func mistakeOf(file string, text []byte, err error, says func(message, line string) string) Mistakes {
	m := Mistake{File: file}
	said := strings.TrimPrefix(err.Error(), "yaml: ")
	if n := yamlLine.FindStringSubmatch(said); n != nil {
		m.Line, _ = strconv.Atoi(n[1])
		said = strings.TrimPrefix(said, n[0]+": ")
	}
	found := ""
	for i, line := range strings.Split(string(text), "\n") {
		if i+1 == m.Line {
			found = strings.TrimRight(line, "\r")
		}
	}
	m.Problem = "is not readable YAML: " + says(said, found)
	return Mistakes{m}
}

// yamlFaults are the faults that the library tells, in words of the person who
// wrote the line, with what to do.
var yamlFaults = []struct{ theirs, ours string }{
	{"UTF-", "the file is not in UTF-8; save it again as plain text in that encoding"},
	{"control characters", "the file holds characters that are not text; save it again as plain text in UTF-8"},
	{"anchor", "an alias (*name) has no anchor (&name) above it; write out what it refers to"},
	{"mapping values are not allowed", "there is a second colon followed by a space; put the text that contains it in quotation marks"},
	{"cannot start any token", "a text must not begin with this character; put the text in quotation marks"},
	{"':'", "a key is not followed by a colon and a space, or a quotation mark above is not closed"},
}

// yamlFault says what is wrong with a line, given the library's message about it.
func yamlFault(message, line string) string {
	if blank := line[:len(line)-len(strings.TrimLeft(line, " \t"))]; strings.Contains(blank, "\t") {
		return "the line begins with a tab; use spaces instead"
	}
	at := ""
	if line = strings.TrimSpace(line); line != "" {
		at = fmt.Sprintf("at %.40q: ", line)
	}
	for _, f := range yamlFaults {
		if strings.Contains(message, f.theirs) {
			return at + f.ours
		}
	}
	return at + "a bracket or quotation mark is left open, here or above, or the line is not indented like its neighbours; correct that"
}

// maxDepth bounds the nesting, so that an alias that holds itself ends.
const maxDepth = 40

// builder makes plain values of nodes and counts them, since a list of aliases
// of lists of aliases grows with each line of the file.
type builder struct {
	file       string
	most, left int
}

func (b *builder) plain(n *yaml.Node, depth int) (any, error) {
	if b.left--; b.left < 0 {
		return nil, &budget.Exceeded{File: b.file, Key: budget.Nodes, What: fmt.Sprintf("with its aliases expanded it has more than %d keys, values and lists", b.most)}
	}
	if depth > maxDepth {
		return nil, fmt.Errorf("line %d: lists and keys are nested more than %d deep; remove aliases that contain themselves", n.Line, maxDepth)
	}
	switch n.Kind {
	case yaml.AliasNode:
		return b.plain(n.Alias, depth+1)
	case yaml.MappingNode:
		m := make(map[string]any, len(n.Content)/2)
		for i := 0; i+1 < len(n.Content); i += 2 {
			k := n.Content[i]
			if _, twice := m[k.Value]; twice {
				return nil, fmt.Errorf("line %d: the key %q appears twice; remove one", k.Line, k.Value)
			}
			v, err := b.plain(n.Content[i+1], depth+1)
			if err != nil {
				return nil, err
			}
			m[k.Value] = v
		}
		return m, nil
	case yaml.SequenceNode:
		l := make([]any, len(n.Content))
		for i, c := range n.Content {
			v, err := b.plain(c, depth+1)
			if err != nil {
				return nil, err
			}
			l[i] = v
		}
		return l, nil
	case yaml.ScalarNode:
		return scalar(n)
	}
	return nil, errors.New("an empty node")
}

func scalar(n *yaml.Node) (any, error) {
	switch n.ShortTag() {
	case "!!null":
		return nil, nil
	case "!!bool":
		return decoded[bool](n)
	case "!!int":
		return decoded[int](n)
	case "!!float":
		return decoded[float64](n)
	}
	return n.Value, nil // dates too: they stay as written
}

func decoded[T any](n *yaml.Node) (any, error) {
	var v T
	err := n.Decode(&v)
	return v, err
}

// Line returns the line of a key path ("sheets.0.file"), or of the nearest key
// above it that exists.
func (d *Document) Line(path string) int {
	if d.node == nil || len(d.node.Content) == 0 {
		return 0
	}
	n := d.node.Content[0]
	line := n.Line
	if path == "" {
		return line
	}
	for _, key := range strings.Split(path, ".") {
		for n.Kind == yaml.AliasNode {
			n = n.Alias
		}
		next, at := d.child(n, key)
		if next == nil {
			break
		}
		n, line = next, at
	}
	return line
}

func (d *Document) child(n *yaml.Node, key string) (*yaml.Node, int) {
	switch n.Kind {
	case yaml.MappingNode:
		if i, ok := d.keysOf(n)[key]; ok {
			return n.Content[i+1], n.Content[i].Line
		}
	case yaml.SequenceNode:
		if i, err := strconv.Atoi(key); err == nil && i >= 0 && i < len(n.Content) {
			return n.Content[i], n.Content[i].Line
		}
	}
	return nil, 0
}

func (d *Document) keysOf(n *yaml.Node) map[string]int {
	if at, ok := d.keys[n]; ok {
		return at
	}
	at := make(map[string]int, len(n.Content)/2)
	for i := len(n.Content) - 2; i >= 0; i -= 2 {
		at[n.Content[i].Value] = i
	}
	if d.keys == nil {
		d.keys = map[*yaml.Node]map[string]int{}
	}
	d.keys[n] = at
	return at
}

// Sub returns the part of the document below a key path as a document of its
// own, which keeps the lines. The second result is false if there is none.
func (d *Document) Sub(path string) (*Document, bool) {
	if len(d.node.Content) == 0 {
		return nil, false
	}
	n, v := d.node.Content[0], d.Root
	for _, key := range strings.Split(path, ".") {
		n, _ = d.child(n, key)
		switch t := v.(type) {
		case map[string]any:
			v = t[key]
		case []any:
			i, err := strconv.Atoi(key)
			if err != nil || i < 0 || i >= len(t) {
				return nil, false
			}
			v = t[i]
		}
		if n == nil || v == nil {
			return nil, false
		}
	}
	return &Document{File: d.File, Root: v, from: d.from, node: &yaml.Node{Kind: yaml.DocumentNode, Content: []*yaml.Node{n}}}, true
}

// Mistake says what is wrong at a key path: the file with the line, or the flag
// or variable that set the value.
func (d *Document) Mistake(path, problem string) Mistake {
	if from, ok := d.from[path]; ok {
		return Mistake{File: from, Problem: problem}
	}
	return Mistake{File: d.File, Line: d.Line(path), Path: path, Problem: problem}
}
