package tables

import (
	"fmt"
	"regexp"
	"strconv"
	"sync"

	"spadefoot/schemas"
)

// Field is one field of a table.
type Field struct {
	Name, Title, Type, Format, Namespace string
	IsVersionOf, References              string // addresses of the term and of its version
	Required, Unique                     bool
	Minimum, Maximum                     *float64
}

// Key is a foreign key: the field refers to the field Reference of the table
// Resource, or of its own table where Resource is empty.
type Key struct {
	Field, Predicate, Resource, Reference string
}

// Table is one table that a package may hold.
type Table struct {
	Name    string
	Fields  []Field
	Primary string // field of the primary key, or ""
	Foreign []Key

	places map[string]int // of fields, by name
}

// Field returns a field by name, or nil.
func (t *Table) Field(name string) *Field {
	if i, ok := t.places[name]; ok {
		return &t.Fields[i]
	}
	return nil
}

// Key returns the foreign key of a field, or nil.
func (t *Table) Key(field string) *Key {
	for i := range t.Foreign {
		if t.Foreign[i].Field == field {
			return &t.Foreign[i]
		}
	}
	return nil
}

// Place is the position of a field within the table, or one beyond the last.
func (t *Table) Place(name string) int {
	if i, ok := t.places[name]; ok {
		return i
	}
	return len(t.Fields)
}

type fieldRow struct {
	Table       string `csv:"table"`
	Name        string `csv:"name"`
	Title       string `csv:"title"`
	Type        string `csv:"type"`
	Format      string `csv:"format"`
	Namespace   string `csv:"namespace"`
	IsVersionOf string `csv:"isVersionOf"`
	References  string `csv:"references"`
	Required    string `csv:"required"`
	Unique      string `csv:"unique"`
	Minimum     string `csv:"minimum"`
	Maximum     string `csv:"maximum"`
}

type keyRow struct {
	Table     string `csv:"table"`
	Kind      string `csv:"kind"`
	Field     string `csv:"field"`
	Predicate string `csv:"predicate"`
	Resource  string `csv:"resource"`
	Reference string `csv:"reference"`
}

type catalogue struct {
	all      []*Table
	byName   map[string]*Table
	reserved map[string]bool
}

// load reads the embedded tables.
var load = sync.OnceValue(func() *catalogue {
	c := &catalogue{byName: map[string]*Table{}, reserved: map[string]bool{}}
	for _, r := range schemas.Must(schemas.Table[fieldRow]("data_package_fields.csv")) {
		t := c.byName[r.Table]
		if t == nil {
			t = &Table{Name: r.Table, places: map[string]int{}}
			c.byName[r.Table] = t
			c.all = append(c.all, t)
		}
		t.places[r.Name] = len(t.Fields)
		t.Fields = append(t.Fields, Field{r.Name, r.Title, r.Type, r.Format, r.Namespace, r.IsVersionOf, r.References,
			r.Required == "yes", r.Unique == "yes", bound(r.Minimum), bound(r.Maximum)})
	}
	for _, r := range schemas.Must(schemas.Table[keyRow]("data_package_keys.csv")) {
		switch t := c.byName[r.Table]; {
		case r.Kind == "reserved":
			c.reserved[r.Table] = true
		case t == nil:
		case r.Kind == "primary":
			t.Primary = r.Field
		default:
			t.Foreign = append(t.Foreign, Key{r.Field, r.Predicate, r.Resource, r.Reference})
		}
	}
	return c
})

func bound(s string) *float64 {
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return nil
	}
	return &x
}

// All returns the tables in the order of their names.
func All() []*Table { return append([]*Table(nil), load().all...) }

// Find returns a table by name, or nil.
func Find(name string) *Table { return load().byName[name] }

// Reserved reports whether only a table of the standard may have this name.
func Reserved(name string) bool { return load().reserved[name] }

var (
	numberForm  = regexp.MustCompile(`^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$`)
	integerForm = regexp.MustCompile(`^[+-]?\d+$`)
)

// Misfit says why a text is not of the type or within the bounds of a field,
// or "". An empty text always fits; whether one may be empty is for Required
// to say.
func (f *Field) Misfit(text string) string {
	if text == "" {
		return ""
	}
	switch f.Type {
	case "integer":
		if !integerForm.MatchString(text) {
			return "it must be a whole number"
		}
	case "number":
		if !numberForm.MatchString(text) {
			return "it must be a number"
		}
	case "boolean":
		switch text {
		case "true", "True", "TRUE", "1", "false", "False", "FALSE", "0":
			return ""
		}
		return "it must be true or false"
	default:
		return ""
	}
	x, err := strconv.ParseFloat(text, 64)
	switch {
	case err != nil:
		return "it must be a number"
	case f.Minimum != nil && x < *f.Minimum:
		return fmt.Sprintf("it must not be less than %g", *f.Minimum)
	case f.Maximum != nil && x > *f.Maximum:
		return fmt.Sprintf("it must not be more than %g", *f.Maximum)
	}
	return ""
}
