package config

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"sort"
	"strings"

	"github.com/hbollon/go-edlib"
	"github.com/spf13/pflag"
	"github.com/spf13/viper"

	"spadefoot/pipeline/record/budget"
)

// prefix is what the names of environment variables begin with:
// SPADEFOOT_DATASET_TITLE is the key dataset.title.
const prefix = "SPADEFOOT"

// leaf is a key with a single value that a schema allows.
type leaf struct {
	Path    string // dataset.title
	Type    string // string, number, integer or boolean
	Default any    // nil if the schema states none
}

// leavesOf lists the single-valued keys of a schema that are not in a
// list, in the order of their paths.
func leavesOf(schemaName string) (leaves []leaf) {
	tree := schemaOf(schemaName)
	walk(tree, tree, "", &leaves)
	sort.Slice(leaves, func(i, j int) bool { return leaves[i].Path < leaves[j].Path })
	return leaves
}

func walk(tree, at map[string]any, path string, leaves *[]leaf) {
	at = resolve(tree, at)
	if props, ok := at["properties"].(map[string]any); ok {
		for key, p := range props {
			if next, ok := p.(map[string]any); ok {
				walk(tree, next, join(path, key), leaves)
			}
		}
		return
	}
	kind, _ := at["type"].(string)
	if list, ok := at["type"].([]any); ok && len(list) > 0 {
		kind, _ = list[0].(string)
	}
	switch kind {
	case "string", "number", "integer", "boolean":
		*leaves = append(*leaves, leaf{Path: path, Type: kind, Default: at["default"]})
	}
}

// Overlay lays flags, environment and the schema's defaults round the file:
// flag > environment > file > default. flags maps a key path to a flag.
func (d *Document) Overlay(schemaName string, flags map[string]*pflag.Flag) error {
	root, ok := d.Root.(map[string]any)
	if !ok {
		return Mistakes{{File: d.File, Line: d.Line(""), Problem: fmt.Sprintf("found %s; it must be keys with values", shown(d.Root))}}
	}
	leaves := leavesOf(schemaName)
	v := viper.New()
	v.SetEnvPrefix(prefix)
	v.SetEnvKeyReplacer(strings.NewReplacer(".", "_"))
	if err := v.MergeConfigMap(single(root, leaves)); err != nil {
		return err
	}
	for _, l := range leaves {
		if l.Default != nil {
			v.SetDefault(l.Path, l.Default)
		}
		if err := v.BindEnv(l.Path); err != nil {
			return err
		}
		if f := flags[l.Path]; f != nil {
			if err := v.BindPFlag(l.Path, f); err != nil {
				return err
			}
		}
	}
	for _, l := range leaves {
		d.lay(root, l, v, flags[l.Path])
	}
	if ms := misspelt(leaves, os.Environ()); len(ms) > 0 {
		return ms
	}
	return nil
}

// variable is the name of the environment variable of a key.
func variable(path string) string {
	return prefix + "_" + strings.ToUpper(strings.ReplaceAll(path, ".", "_"))
}

// misspelt finds the environment variables that are meant for keys and are none:
// those that begin with the name of a section, or are spelled much like a key.
func misspelt(leaves []leaf, environment []string) (ms Mistakes) {
	known := []string{budget.Variable(budget.Nodes), budget.Variable(budget.Fields)}
	var sections []string
	for _, l := range leaves {
		known = append(known, variable(l.Path))
		if section, _, ok := strings.Cut(l.Path, "."); ok {
			sections = append(sections, variable(section)+"_")
		}
	}
	for _, entry := range slices.Sorted(slices.Values(environment)) {
		name, _, _ := strings.Cut(entry, "=")
		if !strings.HasPrefix(name, prefix+"_") || slices.Contains(known, name) {
			continue
		}
		near := Nearest(name, known)
		if near != "" && edlib.OSADamerauLevenshteinDistance(name, near) > maxSlips {
			near = ""
		}
		if near != "" || slices.ContainsFunc(sections, func(s string) bool { return strings.HasPrefix(name, s) }) {
			ms = append(ms, Mistake{File: "environment variable " + name, Problem: "there is no such key", Nearest: near})
		}
	}
	return ms
}

// maxSlips is how many letters a misspelt variable differs in from the one that
// was meant; others are taken for those of another program.
const maxSlips = 2

func (d *Document) lay(root map[string]any, l leaf, v *viper.Viper, flag *pflag.Flag) {
	name := variable(l.Path)
	_, inEnvironment := os.LookupEnv(name)
	byFlag := flag != nil && flag.Changed
	_, inFile := lookup(root, l.Path)
	switch {
	case byFlag:
		d.from[l.Path] = "flag --" + flag.Name
	case inEnvironment && os.Getenv(name) != "":
		d.from[l.Path] = "environment variable " + name
	case inFile:
		return // as written, and checked like that
	case l.Default == nil:
		return
	}
	put(root, l.Path, typed(v, l))
}

// typed reads a value in the schema's type; text that is not of the type stays
// text, so that the check names it.
func typed(v *viper.Viper, l leaf) any {
	s, isText := v.Get(l.Path).(string)
	if !isText {
		return v.Get(l.Path)
	}
	var out any
	switch l.Type {
	case "number", "integer", "boolean":
		if err := json.Unmarshal([]byte(s), &out); err == nil {
			return out
		}
	}
	return s
}

func lookup(root map[string]any, path string) (any, bool) {
	var at any = root
	for _, key := range strings.Split(path, ".") {
		m, ok := at.(map[string]any)
		if !ok {
			return nil, false
		}
		if at, ok = m[key]; !ok {
			return nil, false
		}
	}
	return at, true
}

func put(root map[string]any, path string, value any) {
	keys := strings.Split(path, ".")
	at := root
	for _, key := range keys[:len(keys)-1] {
		next, ok := at[key].(map[string]any)
		if !ok {
			if _, there := at[key]; there && at[key] != nil {
				return // the file has something else there: the check names it
			}
			next = map[string]any{}
			at[key] = next
		}
		at = next
	}
	at[keys[len(keys)-1]] = value
}

// Decode fills v from the document by the json tags of v.
func (d *Document) Decode(v any) error {
	b, err := json.Marshal(d.Root)
	if err != nil {
		return err
	}
	return json.Unmarshal(b, v)
}

// single returns the single values of a document for the keys of a schema, in
// maps of their own: viper lowers the keys of what it is given, and looks at each
// beside every other.
func single(root map[string]any, leaves []leaf) map[string]any {
	out := map[string]any{}
	for _, l := range leaves {
		switch value, _ := lookup(root, l.Path); value.(type) {
		case nil, map[string]any, []any:
		default:
			put(out, l.Path, value)
		}
	}
	return out
}
