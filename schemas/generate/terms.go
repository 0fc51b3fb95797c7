package main

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/gocarina/gocsv"
)

// version is one row of the published list of term versions.
type version struct {
	IRI      string `csv:"iri"`
	Name     string `csv:"term_localName"`
	Class    string `csv:"organized_in"`
	Issued   string `csv:"issued"`
	Status   string `csv:"status"`
	Replaces string `csv:"replaces"`
	Kind     string `csv:"rdf_type"`
	Term     string `csv:"term_iri"`
	Flags    string `csv:"flags"`
}

// classOrder is the order in which the columns of an occurrence are published:
// the record, the animal in hand, where and when, then its name. Classes that
// are not named follow in the order of the published list.
var classOrder = []string{
	"Record-level", "Occurrence", "Organism", "MaterialEntity", "MaterialSample",
	"Event", "Location", "GeologicalContext", "Identification", "Taxon",
	"MeasurementOrFact", "ResourceRelationship",
}

// iriTerms is the namespace of the terms that take IRIs as values.
const iriTerms = "http://rs.tdwg.org/dwc/iri/"

const termsHeader = "# Darwin Core terms: names, addresses, classes, status and dates. Source: TDWG, Darwin Core maintenance group, list of term versions (repository of 2026-08-15, CC BY 4.0). Made by schemas/generate; do not edit.\n"

// darwinCoreTerms makes the table of terms from the list of term versions.
func darwinCoreTerms(shared string) ([]byte, error) {
	b, err := os.ReadFile(filepath.Join(shared, "standards", "darwin-core", "term_versions.csv"))
	if err != nil {
		return nil, err
	}
	var all []version
	if err := gocsv.UnmarshalBytes(b, &all); err != nil {
		return nil, err
	}
	latest, order := latestVersions(all)
	next := successors(all)
	slices.SortStableFunc(order, func(a, b string) int { return compareTerms(latest[a], latest[b]) })

	var buf bytes.Buffer
	buf.WriteString(termsHeader)
	w := csv.NewWriter(&buf)
	w.Write([]string{"name", "iri", "class", "kind", "use", "status", "replacedBy", "issued"})
	for _, iri := range order {
		v := latest[iri]
		replaced := ""
		if v.Status != "recommended" {
			replaced = strings.Join(follow(v, next, latest, nil), " ")
		}
		w.Write([]string{v.Name, v.Term, className(v), kindName(v), v.Flags, v.Status, replaced, v.Issued})
	}
	w.Flush()
	return buf.Bytes(), w.Error()
}

// latestVersions returns the last version of each term by term address, and the
// addresses in the order of the list.
func latestVersions(all []version) (latest map[string]version, order []string) {
	latest = map[string]version{}
	for _, v := range all {
		old, seen := latest[v.Term]
		if !seen {
			order = append(order, v.Term)
		}
		if !seen || rank(v) > rank(old) {
			latest[v.Term] = v
		}
	}
	return latest, order
}

// rank orders the versions of one term: a recommended one counts above all,
// then the later date.
func rank(v version) string {
	if v.Status == "recommended" {
		return "1" + v.Issued
	}
	return "0" + v.Issued
}

// successors returns for each version the terms whose versions replaced it.
func successors(all []version) map[string][]string {
	next := map[string][]string{}
	for _, v := range all {
		for _, old := range strings.Split(v.Replaces, "|") {
			if old != "" && !slices.Contains(next[old], v.Term) {
				next[old] = append(next[old], v.Term)
			}
		}
	}
	return next
}

// follow goes from a deprecated version to the recommended terms that are at
// the end of its line, which may be none.
func follow(v version, next map[string][]string, latest map[string]version, seen []string) []string {
	if slices.Contains(seen, v.Term) {
		return nil
	}
	seen = append(seen, v.Term)
	var out []string
	for _, iri := range next[v.IRI] {
		w := latest[iri]
		switch {
		case w.Status == "recommended":
			out = append(out, w.Term)
		default:
			out = append(out, follow(w, next, latest, seen)...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func compareTerms(a, b version) int {
	return cmp.Or(
		cmp.Compare(statusRank(a), statusRank(b)),
		cmp.Compare(classRank(a), classRank(b)),
	)
}

func statusRank(v version) int {
	switch {
	case v.Status == "recommended" && !strings.HasPrefix(v.Term, iriTerms):
		return 0
	case v.Status == "recommended":
		return 1
	}
	return 2
}

func classRank(v version) int {
	if v.Status != "recommended" {
		return 0
	}
	if i := slices.Index(classOrder, className(v)); i >= 0 {
		return i
	}
	return len(classOrder)
}

// className is the local name of the class that a term is organised in.
func className(v version) string {
	switch {
	case kindName(v) == "class":
		return ""
	case v.Class == "", strings.HasSuffix(v.Class, "/"):
		return "Record-level"
	}
	return v.Class[strings.LastIndexAny(v.Class, "/#")+1:]
}

func kindName(v version) string {
	switch v.Kind[strings.LastIndexAny(v.Kind, "/#")+1:] {
	case "Class":
		return "class"
	case "Property":
		return "property"
	}
	return "scheme"
}
