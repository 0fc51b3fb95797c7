package terms

import (
	"strings"
	"sync"

	"spadefoot/pipeline/record/sorting"
	"spadefoot/schemas"
)

// Term is one Darwin Core term in its latest version.
type Term struct {
	Name       string
	IRI        string
	Class      string   // local name of the class it is organised in, "Record-level", or empty for a class
	Kind       string   // property, class or scheme
	Use        string   // simple: fits a flat record; extension: needs a row of its own class; or empty
	Status     string   // recommended or deprecated
	ReplacedBy []string // addresses of the terms in its place
	Issued     string   // date of the version, YYYY-MM-DD
	Order      int      // place in the table, from 0
}

// Current reports whether the standard recommends the term.
func (t Term) Current() bool { return t.Status == "recommended" }

// Property reports whether the term can head a column.
func (t Term) Property() bool { return t.Kind == "property" }

// Simple reports whether the term fits a row of any core.
func (t Term) Simple() bool { return t.Use == "simple" }

// prefixes of namespaces, in the order in which a bare name is looked up.
var prefixes = []struct{ prefix, space string }{
	{"dwc:", "http://rs.tdwg.org/dwc/terms/"},
	{"dcterms:", "http://purl.org/dc/terms/"},
	{"dc:", "http://purl.org/dc/elements/1.1/"},
	{"ac:", "http://rs.tdwg.org/ac/terms/"},
	{"dwciri:", "http://rs.tdwg.org/dwc/iri/"},
}

type row struct {
	Name       string `csv:"name"`
	IRI        string `csv:"iri"`
	Class      string `csv:"class"`
	Kind       string `csv:"kind"`
	Use        string `csv:"use"`
	Status     string `csv:"status"`
	ReplacedBy string `csv:"replacedBy"`
	Issued     string `csv:"issued"`
}

type table struct {
	all    []Term
	byIRI  map[string]int
	byName map[string]int
	named  map[string]string // names of terms of one record, by how they are folded
}

// load reads the embedded table.
var load = sync.OnceValue(func() *table {
	t := &table{byIRI: map[string]int{}, byName: map[string]int{}, named: map[string]string{}}
	for i, r := range schemas.Must(schemas.Table[row]("darwin_core_terms.csv")) {
		t.all = append(t.all, Term{
			Name: r.Name, IRI: r.IRI, Class: r.Class, Kind: r.Kind, Use: r.Use, Status: r.Status,
			ReplacedBy: strings.Fields(r.ReplacedBy), Issued: r.Issued, Order: i,
		})
		t.byIRI[r.IRI] = i
		if strings.HasPrefix(r.IRI, "http://rs.tdwg.org/dwc/iri/") {
			continue
		}
		if _, taken := t.byName[r.Name]; !taken {
			t.byName[r.Name] = i
		}
	}
	for _, one := range t.all {
		if one.Current() && one.Property() && one.Use == "simple" {
			t.named[fold(one.Name)] = one.Name
		}
	}
	return t
})

// All returns every term in the order of the columns, current ones first.
func All() []Term { return append([]Term(nil), load().all...) }

// Lookup finds a term by bare name, prefixed name or address. Where two terms
// share a bare name the recommended one is given.
func Lookup(name string) (Term, bool) {
	t := load()
	if i, ok := t.byName[name]; ok {
		return t.all[i], true
	}
	if !strings.Contains(name, ":") {
		return Term{}, false // neither an address nor prefixed
	}
	if i, ok := t.byIRI[name]; ok {
		return t.all[i], true
	}
	for _, p := range prefixes {
		if local, ok := strings.CutPrefix(name, p.prefix); ok {
			if i, ok := t.byIRI[p.space+local]; ok {
				return t.all[i], true
			}
		}
	}
	return Term{}, false
}

// Known reports whether name is a current term that can head a column.
func Known(name string) bool {
	t, ok := Lookup(name)
	return ok && t.Current() && t.Property()
}

// Bare returns the name without the prefix of a namespace.
func Bare(name string) string {
	for _, p := range prefixes {
		if local, ok := strings.CutPrefix(name, p.prefix); ok {
			return local
		}
	}
	return name
}

// Sort puts names of terms into the order of the published table.
func Sort(names []string) []string {
	rank := func(n string) int {
		if t, ok := Lookup(n); ok {
			return t.Order
		}
		return 1 << 20
	}
	sorting.Func(names, func(a, b string) int {
		if d := rank(a) - rank(b); d != 0 {
			return d
		}
		return strings.Compare(a, b)
	})
	return names
}
