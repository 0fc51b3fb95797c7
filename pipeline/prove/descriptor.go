package prove

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"spadefoot/pipeline/darwincore/tables"
)

const packageGuide = "Darwin Core Data Package guide 2026-05-26, section "

// descriptor is datapackage.json as far as it is judged.
type descriptor struct {
	Profile   string     `json:"profile"`
	ID        string     `json:"id"`
	Created   string     `json:"created"`
	Version   string     `json:"version"`
	Resources []resource `json:"resources"`
}

type resource struct {
	Name      string      `json:"name"`
	Path      oneOrMore   `json:"path"`
	Profile   string      `json:"profile"`
	Format    string      `json:"format"`
	MediaType string      `json:"mediatype"`
	Encoding  string      `json:"encoding"`
	Dialect   dialect     `json:"dialect"`
	Schema    tableSchema `json:"schema"`
}

type dialect struct {
	Delimiter      *string `json:"delimiter"`
	LineTerminator *string `json:"lineTerminator"`
	QuoteChar      *string `json:"quoteChar"`
	Header         *bool   `json:"header"`
}

type tableSchema struct {
	Fields      []fieldDescriptor `json:"fields"`
	PrimaryKey  oneOrMore         `json:"primaryKey"`
	ForeignKeys []foreignKey      `json:"foreignKeys"`
	Missing     []string          `json:"missingValues"`
}

type fieldDescriptor struct {
	Name        string `json:"name"`
	Title       string `json:"title"`
	Description string `json:"description"`
	Type        string `json:"type"`
	IsVersionOf string `json:"dcterms:isVersionOf"`

	raw json.RawMessage
}

// UnmarshalJSON reads a descriptor and keeps it as it is.
func (f *fieldDescriptor) UnmarshalJSON(b []byte) error {
	type plain fieldDescriptor
	if err := json.Unmarshal(b, (*plain)(f)); err != nil {
		return err
	}
	f.raw = slices.Clone(b)
	return nil
}

type foreignKey struct {
	Fields    oneOrMore `json:"fields"`
	Reference struct {
		Resource string    `json:"resource"`
		Fields   oneOrMore `json:"fields"`
	} `json:"reference"`
}

// oneOrMore is a string or a list of strings.
type oneOrMore []string

// UnmarshalJSON reads either form.
func (o *oneOrMore) UnmarshalJSON(b []byte) error {
	var one string
	if err := json.Unmarshal(b, &one); err == nil {
		*o = oneOrMore{one}
		return nil
	}
	var more []string
	if err := json.Unmarshal(b, &more); err != nil {
		return fmt.Errorf("want a text or a list of texts")
	}
	*o = more
	return nil
}

var (
	profileForm  = regexp.MustCompile(`^http://rs\.tdwg\.org/dwc-dp/\d+(?:\.\d+)+/dwc-dp-profile\.json$`)
	resourceForm = regexp.MustCompile(`^[-a-z0-9._/]+$`)
)

// describer judges a descriptor.
type describer struct {
	*prover
	file  string
	lines map[string]int
}

func (d *describer) fault(rule, path, field, value, reason, section string) {
	at := line(d.file, d.lines[path])
	for p := path; at.Row == 0 && p != ""; {
		p = p[:max(strings.LastIndex(p, "/"), 0)]
		at.Row = d.lines[p]
	}
	d.add(rule, at, field, value, reason, packageGuide+section)
}

// whole judges the descriptor apart from its resources.
func (d *describer) whole(v *descriptor) {
	if !profileForm.MatchString(v.Profile) {
		d.fault("package-profile", "profile", "profile", v.Profile, "profile must be the address of a version of the profile on rs.tdwg.org", "3.1")
	}
	for _, s := range []struct{ key, text string }{{"id", v.ID}, {"created", v.Created}, {"version", v.Version}} {
		if s.text == "" {
			d.fault("package-part-advised", "", s.key, "", "the descriptor should have "+s.key, "3.1")
		}
	}
	if _, err := time.Parse(time.RFC3339, v.Created); v.Created != "" && err != nil {
		d.fault("package-created", "created", "created", v.Created, "created must be a date and time such as 2021-06-12T14:07:00Z", "3.1")
	}
	if len(v.Resources) == 0 {
		d.fault("package-resources", "resources", "resources", "", "there must be at least one resource", "3.1")
	}
	table := false
	seen := map[string]bool{}
	for i, r := range v.Resources {
		path := fmt.Sprintf("resources/%d", i)
		table = table || tables.Reserved(r.Name)
		switch {
		case !resourceForm.MatchString(r.Name):
			d.fault("resource-name", path+"/name", "name", r.Name, "a resource name may contain only lower-case letters, digits, -, ., _ and /", "3.2.2")
		case seen[r.Name]:
			d.fault("resource-name", path+"/name", "name", r.Name, "another resource has this name", "3.2.2")
		}
		seen[r.Name] = true
		if len(r.Path) == 0 {
			d.fault("resource-path", path, "path", "", "a resource needs the path of its file", "3.2.2")
		}
		if tables.Reserved(r.Name) {
			d.table(path, &v.Resources[i], v)
		}
	}
	if len(v.Resources) > 0 && !table {
		d.fault("package-resources", "resources", "resources", "", "there must be at least one Darwin Core table", "3")
	}
}

// table judges the description of a table of the standard.
func (d *describer) table(path string, r *resource, v *descriptor) {
	if r.Profile != "tabular-data-resource" {
		d.fault("resource-profile", path+"/profile", "profile", r.Profile, "the profile of a table must be tabular-data-resource", "3.2.2")
	}
	if r.MediaType != "text/csv" {
		d.fault("resource-mediatype", path+"/mediatype", "mediatype", r.MediaType, "the mediatype of a table must be text/csv", "3.2.2")
	}
	if r.Format == "" {
		d.fault("resource-format", path, "format", "", "a table should have a format such as csv", "3.2.2")
	}
	if len(r.Schema.Fields) == 0 {
		d.fault("schema-fields", path+"/schema", "fields", "", "a table needs a schema with fields", "3.3")
	}
	t := tables.Find(r.Name)
	for i, f := range r.Schema.Fields {
		d.field(fmt.Sprintf("%s/schema/fields/%d", path, i), f, t)
	}
	if t != nil {
		d.keys(path+"/schema", r, t, v)
	}
}

func (d *describer) field(path string, f fieldDescriptor, t *tables.Table) {
	for _, s := range []struct{ key, text string }{{"name", f.Name}, {"title", f.Title}, {"description", f.Description}, {"type", f.Type}, {"dcterms:isVersionOf", f.IsVersionOf}} {
		if s.text == "" {
			d.fault("field-part-missing", path, s.key, f.Name, "a field needs "+s.key, "3.4")
		}
	}
	if t == nil || f.Name == "" {
		return
	}
	want := t.Field(f.Name)
	switch {
	case want == nil:
		d.fault("field-unknown", path+"/name", f.Name, f.Name, "the table "+t.Name+" has no such field; custom fields should not be added", "3.3")
	case f.Type != "" && f.Type != want.Type:
		d.fault("field-type", path+"/type", f.Name, f.Type, "the type of this field must be "+want.Type, "3.3")
	case f.IsVersionOf != "" && f.IsVersionOf != want.IsVersionOf:
		d.fault("field-term", path+"/dcterms:isVersionOf", f.Name, f.IsVersionOf, "the term of this field must be "+want.IsVersionOf, "3.3")
	default:
		d.published(path, t.Name, f)
	}
}

// keys judges the primary and foreign keys of a table.
func (d *describer) keys(path string, r *resource, t *tables.Table, v *descriptor) {
	for _, k := range r.Schema.PrimaryKey {
		if k != t.Primary {
			d.fault("key-primary", path+"/primaryKey", k, k, "the standard defines no such primary key for "+t.Name, "3.3")
		}
	}
	for i, k := range r.Schema.ForeignKeys {
		at := fmt.Sprintf("%s/foreignKeys/%d", path, i)
		name := strings.Join(k.Fields, ", ")
		want := t.Key(name)
		if want == nil || want.Resource != k.Reference.Resource || want.Reference != strings.Join(k.Reference.Fields, ", ") {
			d.fault("key-foreign", at, name, k.Reference.Resource, "the standard defines no such foreign key for "+t.Name, "3.3")
		}
	}
	for _, f := range r.Schema.Fields {
		want := t.Key(f.Name)
		if want == nil {
			continue
		}
		target := r
		if want.Resource != "" {
			i := slices.IndexFunc(v.Resources, func(o resource) bool { return o.Name == want.Resource })
			if i < 0 {
				continue
			}
			target = &v.Resources[i]
		}
		if !slices.ContainsFunc(r.Schema.ForeignKeys, func(k foreignKey) bool { return slices.Contains(k.Fields, f.Name) }) {
			d.fault("key-foreign-missing", path, f.Name, f.Name, "the table "+target.Name+" is present, so the foreign key must be given", "3.3")
		}
		if !slices.Contains(target.Schema.PrimaryKey, want.Reference) {
			d.fault("key-primary-missing", path, f.Name, want.Reference, "the table "+target.Name+" is referred to, so it needs a primary key", "3.3")
		}
	}
}
