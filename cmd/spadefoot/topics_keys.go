package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"spadefoot/pipeline/config"
	"spadefoot/schemas"
)

// keysTopic lists every key of survey.yaml and of a mapping, from the schemas
// that check them and in their order.
func keysTopic() (string, error) {
	var b strings.Builder
	b.WriteString("keys: every key of survey.yaml and of a mapping\n")
	for _, s := range []struct{ file, name string }{{"survey.schema.json", "survey.yaml"}, {"mapping.schema.json", "a mapping"}} {
		raw, err := schemas.Files.ReadFile(s.file)
		if err != nil {
			return "", err
		}
		var doc yaml.Node // JSON is YAML, and a node keeps the order of keys
		if err := yaml.Unmarshal(raw, &doc); err != nil {
			return "", fmt.Errorf("%s: %w", s.file, err)
		}
		fmt.Fprintf(&b, "\n%s\n\n", s.name)
		k := keyList{root: doc.Content[0], out: &b}
		k.write("", k.root, nil)
	}
	return b.String(), nil
}

// keyList writes the keys of one schema.
type keyList struct {
	root *yaml.Node
	out  *strings.Builder
}

// write lists the properties of an object below a path of keys. Definitions
// that are within themselves are listed once.
func (k keyList) write(path string, object *yaml.Node, within []*yaml.Node) {
	for i := 0; i+1 < len(member(object, "properties").Content); i += 2 {
		properties := member(object, "properties").Content
		name, value := strings.TrimPrefix(path+"."+properties[i].Value, "."), k.resolve(properties[i+1])
		item := k.resolve(member(value, "items"))
		kind := k.kind(value)
		if len(item.Content) > 0 {
			name += "[]"
			kind = k.kind(item)
		}
		if line := "  " + name + "  " + kind; len([]rune(line)) <= wide {
			k.out.WriteString(strings.TrimRight(line, " ") + "\n")
		} else {
			k.out.WriteString("  " + name + "\n")
			writeWrapped(k.out, kind, "      ")
		}
		writeWrapped(k.out, member(properties[i+1], "description").Value+" "+describe(value, properties[i+1]), "      ")
		for _, inner := range []*yaml.Node{value, item} {
			if member(inner, "properties").Content != nil && !slices.Contains(within, inner) {
				k.write(name, inner, append(within, inner))
			}
		}
	}
}

// describe returns the description behind a reference, if it is another one.
func describe(resolved, written *yaml.Node) string {
	if resolved == written {
		return ""
	}
	return member(resolved, "description").Value
}

// kind says what values a key takes.
func (k keyList) kind(value *yaml.Node) string {
	if words := member(value, "enum").Content; len(words) > 0 {
		var all []string
		for _, w := range words {
			all = append(all, w.Value)
		}
		return strings.Join(all, " | ")
	}
	t := member(value, "type")
	if len(t.Content) > 0 {
		t = t.Content[0]
	}
	return map[string]string{"string": "text", "boolean": "true | false", "integer": "whole number", "number": "number"}[t.Value]
}

// resolve follows a reference within the schema.
func (k keyList) resolve(n *yaml.Node) *yaml.Node {
	ref := member(n, "$ref").Value
	if ref == "" {
		return n
	}
	at := k.root
	for _, part := range strings.Split(strings.TrimPrefix(ref, "#/"), "/") {
		at = member(at, part)
	}
	return at
}

// member returns the value of a key, an empty node where there is none.
func member(n *yaml.Node, key string) *yaml.Node {
	return cmp.Or(config.Value(n, key), &yaml.Node{})
}
