package config

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"github.com/xeipuuv/gojsonschema"
	"go.yaml.in/yaml/v3"

	"spadefoot/schemas"
)

// Check holds the document against a JSON Schema of the schemas folder. The
// error is of type Mistakes, in the order of the lines.
func (d *Document) Check(schemaName string) error {
	if ms := d.notNumbers(d.Root, ""); len(ms) > 0 {
		return ms
	}
	tree := schemaOf(schemaName)
	res, err := gojsonschema.Validate(gojsonschema.NewGoLoader(tree), gojsonschema.NewGoLoader(d.Root))
	if err != nil {
		return fmt.Errorf("schema %s: %w", schemaName, err)
	}
	if res.Valid() {
		return nil
	}
	if m, other := d.anotherKind(tree); other {
		return Mistakes{m}
	}
	var ms Mistakes
	for _, e := range res.Errors() {
		if e.Type() == "required" && slices.ContainsFunc(res.Errors(), func(o gojsonschema.ResultError) bool {
			return o.Type() == anyOf && o.Context().String() == e.Context().String()
		}) {
			continue // only one of several ways to go on, and those are named together
		}
		ms = append(ms, d.mistake(e, tree))
	}
	sort.SliceStable(ms, func(i, j int) bool {
		if ms[i].Line != ms[j].Line {
			return ms[i].Line < ms[j].Line
		}
		return ms[i].Path < ms[j].Path
	})
	return ms
}

// notNumbers finds what YAML has a number for and JSON has not: .nan and .inf.
func (d *Document) notNumbers(v any, path string) (ms Mistakes) {
	switch v := v.(type) {
	case map[string]any:
		for _, key := range slices.Sorted(maps.Keys(v)) {
			ms = append(ms, d.notNumbers(v[key], join(path, key))...)
		}
	case []any:
		for i := range v {
			ms = append(ms, d.notNumbers(v[i], join(path, strconv.Itoa(i)))...)
		}
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			ms = append(ms, Mistake{File: d.File, Line: d.Line(path), Path: path, Problem: "found " + strings.ToLower(fmt.Sprint(v)) + "; it must be a number"})
		}
	}
	return ms
}

// anotherKind says of a document none of whose keys mean anything that it is
// another kind of file.
func (d *Document) anotherKind(tree map[string]any) (Mistake, bool) {
	keys, allowed := d.written(), propertyNames(tree, "")
	if len(keys) < 2 || slices.ContainsFunc(keys, func(k string) bool { return slices.Contains(allowed, k) || Nearest(k, allowed) != "" }) {
		return Mistake{}, false
	}
	kind := strings.ToLower(fmt.Sprint(tree["title"]))
	m := Mistake{File: d.File, Line: 1, Allowed: allowed,
		Problem: fmt.Sprintf("this is not a %s: it has the keys %s (spadefoot help %s shows one)", kind, strings.Join(keys, ", "), kind)}
	for _, other := range []string{"survey", "mapping"} {
		if other != kind && fits(keys, other+".schema.json") {
			m.Allowed = nil
			m.Problem = fmt.Sprintf("this is a %s, not a %s (spadefoot help %s shows one); are the two file names swapped?", other, kind, kind)
		}
	}
	return m, true
}

// schemaOf reads a JSON Schema of the schemas folder.
func schemaOf(name string) (tree map[string]any) {
	err := json.Unmarshal(schemas.Must(schemas.Files.ReadFile(name)), &tree)
	return schemas.Must(tree, err)
}

// fits reports whether all keys of a document are those of a schema.
func fits(keys []string, schemaName string) bool {
	allowed := propertyNames(schemaOf(schemaName), "")
	return !slices.ContainsFunc(keys, func(k string) bool { return !slices.Contains(allowed, k) })
}

// written are the keys at the top of the file, without those of flags and
// variables.
func (d *Document) written() (keys []string) {
	if d.node == nil || len(d.node.Content) == 0 || d.node.Content[0].Kind != yaml.MappingNode {
		return nil
	}
	top := d.node.Content[0].Content
	for i := 0; i+1 < len(top); i += 2 {
		keys = append(keys, top[i].Value)
	}
	return keys
}

// anyOf is the library's name for the fault that no alternative fits.
const anyOf = "number_any_of"

func (d *Document) mistake(e gojsonschema.ResultError, tree map[string]any) Mistake {
	path := strings.TrimPrefix(strings.TrimPrefix(e.Context().String(), "(root)"), ".")
	m := Mistake{File: d.File, Path: path}
	switch e.Type() {
	case "additional_property_not_allowed":
		key := fmt.Sprint(e.Details()["property"])
		m.Allowed = propertyNames(tree, path)
		m.Nearest = Nearest(key, m.Allowed)
		m.Path = join(path, key)
		m.Problem = fmt.Sprintf("found the key %q, which is not allowed here", key)
	case "enum":
		m.Problem = fmt.Sprintf("found %s", shown(e.Value()))
		m.Allowed = words(tree, path, "enum")
		m.Nearest = Nearest(fmt.Sprint(e.Value()), m.Allowed)
	case "pattern":
		m.Problem = fmt.Sprintf("found %s; write it as in %s", shown(e.Value()), strings.Join(words(tree, path, "examples"), " or "))
	case "required":
		m.Problem = fmt.Sprintf("the key %q is missing; spadefoot help keys says what it holds", e.Details()["property"])
	case anyOf:
		m.Problem = "a key is missing; one of these is needed: " + strings.Join(alternatives(tree, path), ", ")
	case "invalid_type":
		expected := fmt.Sprint(e.Details()["expected"])
		m.Problem = fmt.Sprintf("found %s; it must be %s", shown(e.Value()), typeWord(expected))
		if text, alone := e.Value().(string); alone && expected == "array" {
			m.Problem += fmt.Sprintf(", even with one item: [%s]", text)
		}
	default:
		m.Problem = fmt.Sprintf("found %s: %s", shown(e.Value()), e.Description())
	}
	if from, ok := d.from[m.Path]; ok {
		m.File, m.Path = from, ""
		return m
	}
	m.Line = d.Line(m.Path)
	return m
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

func shown(v any) string {
	switch t := v.(type) {
	case string:
		return fmt.Sprintf("%q", t)
	case nil:
		return "nothing"
	case map[string]any:
		return "keys with values"
	case []any:
		return "a list"
	}
	return fmt.Sprint(v)
}

func typeWord(expected string) string {
	r := strings.NewReplacer("string", "text", "object", "keys with values", "array", "a list",
		"integer", "a whole number", "number", "a number", "boolean", "true or false", "/", " or ", ",", " or ")
	return r.Replace(expected)
}

// place walks the schema along a key path; list items are written as numbers.
func place(tree map[string]any, path string) map[string]any {
	at := tree
	if path != "" {
		for _, key := range strings.Split(path, ".") {
			at = resolve(tree, at)
			if props, ok := at["properties"].(map[string]any); ok {
				if next, ok := props[key].(map[string]any); ok {
					at = next
					continue
				}
			}
			if next, ok := at["items"].(map[string]any); ok {
				at = next
				continue
			}
			if next, ok := at["additionalProperties"].(map[string]any); ok {
				at = next
				continue
			}
			return nil
		}
	}
	return resolve(tree, at)
}

func resolve(tree, at map[string]any) map[string]any {
	ref, ok := at["$ref"].(string)
	if !ok {
		return at
	}
	defs, _ := tree["definitions"].(map[string]any)
	next, _ := defs[strings.TrimPrefix(ref, "#/definitions/")].(map[string]any)
	return next
}

func propertyNames(tree map[string]any, path string) []string {
	props, _ := place(tree, path)["properties"].(map[string]any)
	return slices.Sorted(maps.Keys(props))
}

// words are the texts that the schema lists for a key under a keyword of its own.
func words(tree map[string]any, path, keyword string) []string {
	list, _ := place(tree, path)[keyword].([]any)
	words := make([]string, len(list))
	for i, w := range list {
		words[i] = fmt.Sprint(w)
	}
	return words
}

// alternatives are the keys of which the schema asks for one.
func alternatives(tree map[string]any, path string) []string {
	var names []string
	ways, _ := place(tree, path)["anyOf"].([]any)
	for _, w := range ways {
		way, _ := w.(map[string]any)
		required, _ := way["required"].([]any)
		for _, r := range required {
			names = append(names, fmt.Sprint(r))
		}
	}
	return names
}
