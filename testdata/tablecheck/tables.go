package tablecheck

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/record/need"
)

// published is a table schema of the standard.
type published struct {
	Fields      []publishedField
	PrimaryKey  string
	ForeignKeys []publishedKey
}

type publishedField struct {
	Name, Title, Type, Format string
	IsVersionOf               string `json:"dcterms:isVersionOf"`
	References                string `json:"dcterms:references"`
	Constraints               struct {
		Required, Unique bool
		Minimum, Maximum *float64
		Enum             []string
	}
}

type publishedKey struct {
	Fields    string
	Reference struct{ Resource, Fields string }
}

// Tables checks every table against its published schema: field descriptors,
// header, types, required, unique, bounds, foreign keys.
func Tables(t testing.TB, dir string) {
	t.Helper()
	schemas := need.Shared(t, "standards/darwin-core/data-package/table-schemas")
	var d struct {
		Resources []struct {
			Name, Path string
			Schema     published
		}
	}
	readJSON(t, filepath.Join(dir, darwincore.DescriptorFile), &d)
	values := map[string]map[string][]string{} // table, field, texts
	specs := map[string]published{}
	for _, r := range d.Resources {
		var want published
		readJSON(t, filepath.Join(schemas, r.Name+".json"), &want)
		specs[r.Name] = want
		values[r.Name] = columnsOf(t, filepath.Join(dir, r.Path), r.Schema.Fields)
		for _, field := range r.Schema.Fields {
			at := slices.IndexFunc(want.Fields, func(w publishedField) bool { return w.Name == field.Name })
			if at < 0 {
				t.Fatalf("%s has no field %s", r.Name, field.Name)
			}
			w := want.Fields[at]
			if w.Title != field.Title || w.Type != field.Type || w.Format != field.Format || w.IsVersionOf != field.IsVersionOf || w.References != field.References {
				t.Errorf("%s.%s is described as %+v, published as %+v", r.Name, field.Name, field, w)
			}
			unique := w.Constraints.Unique || want.PrimaryKey == field.Name
			checkColumn(t, r.Name+"."+field.Name, w, unique, values[r.Name][field.Name])
		}
	}
	for _, r := range d.Resources {
		for _, w := range specs[r.Name].Fields {
			if _, there := values[r.Name][w.Name]; w.Constraints.Required && !there {
				t.Errorf("%s lacks the field %s, which is required", r.Name, w.Name)
			}
		}
		for _, k := range specs[r.Name].ForeignKeys {
			checkKey(t, r.Name, k, values, r.Schema.ForeignKeys)
		}
	}
}

// columnsOf reads a table whose header has to be the fields in order.
func columnsOf(t testing.TB, path string, fields []publishedField) map[string][]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]string{}
	for i, field := range fields {
		if len(rows[0]) != len(fields) || rows[0][i] != field.Name {
			t.Fatalf("%s: header %v, fields %v", path, rows[0], fields)
		}
		for _, row := range rows[1:] {
			out[field.Name] = append(out[field.Name], row[i])
		}
	}
	return out
}

func checkColumn(t testing.TB, name string, f publishedField, unique bool, texts []string) {
	t.Helper()
	seen := map[string]bool{}
	for _, v := range texts {
		x, err := strconv.ParseFloat(v, 64)
		c := f.Constraints
		switch {
		case v == "" && c.Required:
			t.Errorf("%s is empty", name)
		case v == "":
		case f.Type != "string" && f.Type != "boolean" && err != nil, f.Type == "integer" && x != float64(int64(x)),
			f.Type == "boolean" && v != "true" && v != "false":
			t.Errorf("%s: %q is no %s", name, v, f.Type)
		case len(c.Enum) > 0 && !slices.Contains(c.Enum, v):
			t.Errorf("%s: %q is none of %v", name, v, c.Enum)
		case c.Minimum != nil && x < *c.Minimum, c.Maximum != nil && x > *c.Maximum:
			t.Errorf("%s: %s is out of bounds", name, v)
		case unique && seen[v]:
			t.Errorf("%s: %q stands twice", name, v)
		}
		seen[v] = true
	}
}

func checkKey(t testing.TB, table string, k publishedKey, values map[string]map[string][]string, given []publishedKey) {
	t.Helper()
	target := k.Reference.Resource
	if target == "" {
		target = table
	}
	texts, used := values[table][k.Fields]
	if !used {
		return
	}
	if values[target] != nil && !slices.Contains(given, k) {
		t.Errorf("%s: the foreign key of %s is not given", table, k.Fields)
	}
	keys := map[string]bool{"": true}
	for _, v := range values[target][k.Reference.Fields] {
		keys[v] = true
	}
	for _, v := range texts {
		if !keys[v] {
			t.Errorf("%s.%s: %q is not in %s", table, k.Fields, v, target)
			return
		}
	}
}

func readJSON(t testing.TB, path string, v any) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, v); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
}
