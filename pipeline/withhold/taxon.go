package withhold

import (
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// Lineage is what a checklist knows of a name, by Darwin Core term: the accepted
// scientificName, specificEpithet where that is of a species, and the ranks above
// it. A text with two names that contradict each other has none of them.
type Lineage map[string]string

// ranks are the terms of the groups that a taxon lies in.
var ranks = []string{"genus", "family", "order", "class", "phylum", "kingdom"}

// named are the terms that a taxon may be named in.
var named = append([]string{"scientificName", "acceptedNameUsage", "originalNameUsage", "parentNameUsage", "genericName",
	"subgenus", "subtribe", "tribe", "subfamily", "superfamily", "vernacularName"}, ranks...)

// loose are terms with free text that a taxon may be named in.
var loose = []string{"verbatimIdentification", "previousIdentifications", "identificationQualifier", "higherClassification"}

// taxon is a rule with the names that it is known by.
type taxon struct {
	*Rule
	names   []string // folded
	phrases []phrase // these, and synonyms, everyday names and codes
	rank    string   // of a genus or a larger group that the checklist has
	known   bool     // to the checklist
}

func newTaxon(r *Rule, s *Settings) taxon {
	t := taxon{Rule: r, names: []string{fold(r.Taxon)}}
	if s.Lookup != nil {
		var l Lineage
		l, t.known = s.Lookup(r.Taxon)
		if name := fold(l["scientificName"]); t.known && name != "" && name != t.names[0] {
			t.names = append(t.names, name)
		}
		for _, rank := range ranks {
			if t.known && l["specificEpithet"] == "" && slices.Contains(t.names, fold(l[rank])) {
				t.rank = rank
			}
		}
	}
	also := t.names
	if s.Names != nil {
		also = append(slices.Clone(also), s.Names(r.Taxon)...)
	}
	for _, n := range also {
		t.phrases = append(t.phrases, tokens(n))
	}
	return t
}

// verdict says how sure it is that a capture is of a taxon.
type verdict uint8

const (
	other verdict = iota
	maybe         // nothing says for certain that it is another one
	sure
)

// namedBy is all that a capture is judged by.
func namedBy(c *record.Capture) string {
	var b strings.Builder
	for _, terms := range [][]string{named, loose, {"specificEpithet", "infraspecificEpithet"}} {
		for _, term := range terms {
			b.WriteString(c.Get(term))
			b.WriteByte('\x1f')
		}
	}
	if v := c.Value("scientificName"); v != nil {
		b.WriteString(v.Verbatim)
	}
	return b.String()
}

// judge compares the names of a capture with the taxon. It is another species
// only where the checklist says so; species is what it says, nil for nothing.
func (t *taxon) judge(c *record.Capture, species Lineage, lookup func(string) (Lineage, bool)) verdict {
	for _, term := range named {
		if t.is(c.Get(term)) {
			return sure
		}
	}
	for _, text := range append(freeNames(c), c.Get("vernacularName")) {
		if text == "" {
			continue
		}
		if t.is(text) || contains(tokens(text), t.phrases) {
			return sure
		}
		if lookup != nil {
			if l, known := lookup(text); known && t.is(l["scientificName"]) {
				return sure // an older name, or a code
			}
		}
	}
	for _, rank := range ranks {
		if t.is(species[rank]) {
			return sure
		}
	}
	if species == nil || t.rank != "" && species[t.rank] == "" || t.below(species["scientificName"]) {
		return maybe
	}
	return other
}

// speciesOf is the species that a capture is of for certain: its name is one of
// the checklist, nothing about it is in doubt, and no other name beside it says
// something else. It is nil for any other capture.
func speciesOf(c *record.Capture, lookup func(string) (Lineage, bool)) Lineage {
	if lookup == nil || c.Get("scientificName") == "" || c.Get("identificationQualifier") != "" {
		return nil
	}
	l, known := lookup(c.Get("scientificName"))
	if !known || l["specificEpithet"] == "" {
		return nil
	}
	for _, term := range append([]string{"specificEpithet"}, ranks...) {
		if text := fold(c.Get(term)); text != "" && l[term] != "" && text != fold(l[term]) {
			return nil
		}
	}
	beside := []string{c.Get("verbatimIdentification"), c.Value("scientificName").Verbatim, c.Get("vernacularName"), c.Get("acceptedNameUsage")}
	for _, text := range beside {
		if o, known := lookup(text); text != "" && known && o["scientificName"] != l["scientificName"] {
			return nil
		}
	}
	return l
}

// remembered looks each name up once.
func remembered(lookup func(string) (Lineage, bool)) func(string) (Lineage, bool) {
	if lookup == nil {
		return nil
	}
	type answer struct {
		lineage Lineage
		known   bool
	}
	answers := map[string]answer{}
	return func(name string) (Lineage, bool) {
		a, asked := answers[name]
		if !asked {
			a.lineage, a.known = lookup(name)
			if len(answers) == most {
				clear(answers)
			}
			answers[strings.Clone(name)] = a
		}
		return a.lineage, a.known
	}
}

// freeNames are the free texts that may name a taxon, as written too.
func freeNames(c *record.Capture) []string {
	var out []string
	for _, term := range loose {
		if s := c.Get(term); s != "" {
			out = append(out, s)
		}
	}
	if v := c.Value("scientificName"); v != nil && v.Verbatim != "" {
		out = append(out, v.Verbatim)
	}
	return out
}

// is reports whether a text is a name of the taxon or of something within it.
func (t *taxon) is(text string) bool {
	text = fold(text)
	return slices.ContainsFunc(t.names, func(n string) bool { return text == n || strings.HasPrefix(text, n+" ") })
}

// below reports whether the taxon lies within a species, as a subspecies does.
func (t *taxon) below(species string) bool {
	species = fold(species)
	return species != "" && slices.ContainsFunc(t.names, func(n string) bool { return strings.HasPrefix(n, species+" ") })
}
