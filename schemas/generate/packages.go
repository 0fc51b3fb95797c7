package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
)

// tableSchema is the part of a table schema that is taken over: names, types,
// bounds and keys, no descriptions.
type tableSchema struct {
	Fields []struct {
		Name        string `json:"name"`
		Title       string `json:"title"`
		Type        string `json:"type"`
		Format      string `json:"format"`
		Namespace   string `json:"namespace"`
		IsVersionOf string `json:"dcterms:isVersionOf"`
		References  string `json:"dcterms:references"`
		Constraints struct {
			Required bool     `json:"required"`
			Unique   bool     `json:"unique"`
			Minimum  *float64 `json:"minimum"`
			Maximum  *float64 `json:"maximum"`
		} `json:"constraints"`
	} `json:"fields"`
	PrimaryKey  string `json:"primaryKey"`
	ForeignKeys []struct {
		Fields    string `json:"fields"`
		Predicate string `json:"predicate"`
		Reference struct {
			Resource string `json:"resource"`
			Fields   string `json:"fields"`
		} `json:"reference"`
	} `json:"foreignKeys"`
}

const packageHeader = "from the table schemas and the profile of the Darwin Core Data Package (guide of 2026-05-26; rs.tdwg.org repository of 2026-07-19, CC BY 4.0). Made by schemas/generate; do not edit.\n"

func tableSchemas(shared string) (names []string, all map[string]tableSchema, err error) {
	paths, err := filepath.Glob(filepath.Join(shared, "standards", "darwin-core", "data-package", "table-schemas", "*.json"))
	if err != nil {
		return nil, nil, err
	}
	sort.Strings(paths)
	all = map[string]tableSchema{}
	for _, p := range paths {
		b, err := os.ReadFile(p)
		if err != nil {
			return nil, nil, err
		}
		var s tableSchema
		if err := json.Unmarshal(b, &s); err != nil {
			return nil, nil, err
		}
		name := strings.TrimSuffix(filepath.Base(p), ".json")
		names = append(names, name)
		all[name] = s
	}
	return names, all, nil
}

// packageFields makes the table of the fields of every table.
func packageFields(shared string) ([]byte, error) {
	names, all, err := tableSchemas(shared)
	if err != nil {
		return nil, err
	}
	var buf bytes.Buffer
	buf.WriteString("# Fields of the tables of a Darwin Core Data Package: names, types, bounds and addresses, " + packageHeader)
	w := csv.NewWriter(&buf)
	w.Write([]string{"table", "name", "title", "type", "format", "namespace", "isVersionOf", "references", "required", "unique", "minimum", "maximum"})
	for _, table := range names {
		for _, f := range all[table].Fields {
			w.Write([]string{table, f.Name, f.Title, f.Type, f.Format, f.Namespace, f.IsVersionOf, f.References,
				yes(f.Constraints.Required), yes(f.Constraints.Unique), bound(f.Constraints.Minimum), bound(f.Constraints.Maximum)})
		}
	}
	w.Flush()
	return buf.Bytes(), w.Error()
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return ""
}

func bound(x *float64) string {
	if x == nil {
		return ""
	}
	return strconv.FormatFloat(*x, 'f', -1, 64)
}

// packageKeys makes the table of keys, and of the names that are reserved for
// tables.
func packageKeys(shared string) ([]byte, error) {
	names, all, err := tableSchemas(shared)
	if err != nil {
		return nil, err
	}
	b, err := os.ReadFile(filepath.Join(shared, "standards", "darwin-core", "data-package", "dwc-dp-profile.json"))
	if err != nil {
		return nil, err
	}
	var profile struct {
		Defs struct {
			Names struct {
				Enum []string `json:"enum"`
			} `json:"dwc-dp-resource-names"`
		} `json:"$defs"`
	}
	if err := json.Unmarshal(b, &profile); err != nil {
		return nil, err
	}
	var buf bytes.Buffer
	buf.WriteString("# Keys of the tables of a Darwin Core Data Package, and the reserved names of tables, " + packageHeader)
	w := csv.NewWriter(&buf)
	w.Write([]string{"table", "kind", "field", "predicate", "resource", "reference"})
	for _, table := range names {
		s := all[table]
		if s.PrimaryKey != "" {
			w.Write([]string{table, "primary", s.PrimaryKey, "", "", ""})
		}
		for _, k := range s.ForeignKeys {
			w.Write([]string{table, "foreign", k.Fields, k.Predicate, k.Reference.Resource, k.Reference.Fields})
		}
	}
	for _, n := range profile.Defs.Names.Enum {
		w.Write([]string{n, "reserved", "", "", "", ""})
	}
	w.Flush()
	return buf.Bytes(), w.Error()
}
