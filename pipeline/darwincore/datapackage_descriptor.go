package darwincore

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"spadefoot/pipeline/darwincore/tables"
	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/record"
)

const packageProfile = "http://rs.tdwg.org/dwc-dp/1.0/dwc-dp-profile.json"

// descriptor is datapackage.json, in the order in which it is written.
type descriptor struct {
	Profile      string        `json:"profile"`
	ID           string        `json:"id"`
	Created      string        `json:"created,omitempty"`
	Version      string        `json:"version,omitempty"`
	Title        string        `json:"title"`
	Description  string        `json:"description"`
	Homepage     string        `json:"homepage,omitempty"`
	Keywords     []string      `json:"keywords,omitempty"`
	Licenses     []licence     `json:"licenses,omitempty"`
	Contributors []contributor `json:"contributors,omitempty"`
	Resources    []resource    `json:"resources"`
}

type licence struct {
	Name  string `json:"name"`
	Path  string `json:"path"`
	Title string `json:"title"`
}

type contributor struct {
	Title        string `json:"title"`
	Path         string `json:"path,omitempty"`
	Email        string `json:"email,omitempty"`
	Organization string `json:"organization,omitempty"`
	Role         string `json:"role"`
}

type resource struct {
	Name      string  `json:"name"`
	Path      string  `json:"path"`
	Profile   string  `json:"profile"`
	Format    string  `json:"format"`
	MediaType string  `json:"mediatype"`
	Dialect   dialect `json:"dialect"`
	Schema    schema  `json:"schema"`
}

// dialect says where our CSV differs from the default: lines end with \n.
type dialect struct {
	LineTerminator string `json:"lineTerminator"`
}

type schema struct {
	Fields      []any        `json:"fields"` // a fieldDescriptor, or a published one as it stands
	PrimaryKey  string       `json:"primaryKey,omitempty"`
	ForeignKeys []foreignKey `json:"foreignKeys,omitempty"`
}

type fieldDescriptor struct {
	Name        string       `json:"name"`
	Title       string       `json:"title"`
	Description string       `json:"description"`
	Type        string       `json:"type"`
	Format      string       `json:"format"`
	Namespace   string       `json:"namespace,omitempty"`
	IsVersionOf string       `json:"dcterms:isVersionOf"`
	References  string       `json:"dcterms:references,omitempty"`
	Constraints *constraints `json:"constraints,omitempty"`
}

type constraints struct {
	Required bool     `json:"required,omitempty"`
	Unique   bool     `json:"unique,omitempty"`
	Minimum  *float64 `json:"minimum,omitempty"`
	Maximum  *float64 `json:"maximum,omitempty"`
}

type foreignKey struct {
	Fields    string    `json:"fields"`
	Predicate string    `json:"predicate,omitempty"`
	Reference reference `json:"reference"`
}

type reference struct {
	Resource string `json:"resource"`
	Fields   string `json:"fields"`
}

// describe makes the descriptor of a table from the columns that it has.
func (p *Package) describe(t *tables.Table, file string, columns []string) resource {
	r := resource{Name: t.Name, Path: file, Profile: "tabular-data-resource", Format: "csv", MediaType: "text/csv", Dialect: dialect{"\n"}}
	for _, c := range columns {
		f := t.Field(c)
		if raw := p.dataset.Descriptors.Field(t.Name, c); raw != nil {
			r.Schema.Fields = append(r.Schema.Fields, raw)
		} else {
			r.Schema.Fields = append(r.Schema.Fields, ownDescriptor(t, f))
		}
		if c == t.Primary {
			r.Schema.PrimaryKey = c
		}
		if k := t.Key(c); k != nil && (k.Resource == "" || p.tables[k.Resource] != nil) {
			r.Schema.ForeignKeys = append(r.Schema.ForeignKeys, foreignKey{c, k.Predicate, reference{k.Resource, k.Reference}})
		}
	}
	return r
}

// ownDescriptor describes a field in words of ours, where the published ones are
// not at hand.
func ownDescriptor(t *tables.Table, f *tables.Field) fieldDescriptor {
	d := fieldDescriptor{Name: f.Name, Title: f.Title, Type: f.Type, Format: f.Format, Namespace: f.Namespace, IsVersionOf: f.IsVersionOf, References: f.References,
		Description: fmt.Sprintf("%s of the %s, as defined at %s.", f.Title, strings.ReplaceAll(t.Name, "-", " "), cmp.Or(f.References, f.IsVersionOf))}
	if f.Required || f.Unique || f.Minimum != nil || f.Maximum != nil {
		d.Constraints = &constraints{f.Required, f.Unique, f.Minimum, f.Maximum}
	}
	return d
}

// contributorRoles are the roles that the Data Package specification has (version
// 1: author, publisher, maintainer, wrangler, contributor), which knows no contact.
var contributorRoles = map[string]string{"dataset.creators": "author", "dataset.contacts": "contributor", "dataset.associates": "contributor", "dataset.publisher": "publisher"}

func (p *Package) writeDescriptor(w io.Writer, resources []resource) error {
	d := &p.dataset
	day := cmp.Or(d.Published, p.coverage.LastDay())
	out := descriptor{Profile: packageProfile, ID: d.ID, Version: cmp.Or(d.Version, day), Title: d.Title, Description: d.Description, Homepage: d.URL, Keywords: d.Keywords, Resources: resources}
	if len(day) == len("2021-06-12") {
		out.Created = day + "T00:00:00Z"
	}
	if l, ok := terms.FindLicence(d.Licence); ok {
		out.Licenses = []licence{{strings.ReplaceAll(l.Name, " ", "-"), l.URL, l.Full}}
	}
	groups := d.people()
	if d.Publisher.Name() != "" {
		groups = append(groups, group{"dataset.publisher", []Person{d.Publisher}})
	}
	for _, g := range groups {
		role := contributorRoles[g.key]
		for _, q := range g.people {
			said := slices.IndexFunc(out.Contributors, func(c contributor) bool { return c.Title == q.Name() })
			if role == "contributor" && said >= 0 { // who contributed otherwise
				out.Contributors[said].Email = cmp.Or(out.Contributors[said].Email, q.Email)
				continue
			}
			c := contributor{Title: q.Name(), Email: q.Email, Organization: q.Organisation, Role: role}
			if id, err := terms.ORCID(q.ORCID); err == nil {
				c.Path = orcidURL + id
			}
			out.Contributors = append(out.Contributors, c)
		}
	}
	return record.WriteJSON(w, out, "", "  ")
}
