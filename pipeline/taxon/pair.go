package taxon

import (
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// bracketed settles two names in one cell, one of them in brackets: "Adelie
// Penguin (Pygoscelis adeliae)", "Lithobates clamitans (green frog)". The
// scientific name counts; where both are known and differ, that is a problem.
func (c *Checklist) bracketed(text string) (Match, bool) {
	open := strings.LastIndex(text, "(")
	if open <= 0 || !strings.HasSuffix(text, ")") {
		return Match{}, false
	}
	outer, inner := strings.TrimSpace(text[:open]), strings.TrimSpace(text[open+1:len(text)-1])
	if inner == "" || strings.Contains(outer, "(") {
		return Match{}, false
	}
	scientific, other := inner, outer
	n, ok := parse(inner, false)
	if !ok || n.species == "" {
		if e, _ := c.known(inner); e == nil && !everydayPhrase(inner) {
			return Match{}, false // an author in brackets
		}
		scientific, other = outer, inner
		if n, ok = parse(outer, false); !ok {
			return Match{}, false
		}
	} else if o, ok := parse(outer, false); ok && o.species == "" && n.short {
		return Match{}, false
	}
	m := c.settle(scientific)
	if e, _ := c.known(other); e != nil && m.Accepted != "" && e.parsed.String() != m.Accepted && n.doubt == certain {
		m.add(RuleConflict, record.Warning, "", "%q is %s in the checklist, but %q is %s; the scientific name is published", other, e.parsed, scientific, m.Accepted)
	}
	return m, true
}

// everydayPhrase reports whether a word of the phrase is of everyday language.
func everydayPhrase(phrase string) bool {
	return slices.ContainsFunc(strings.Fields(phrase), everyday)
}

// hybrid settles "A × B". A genus left out or abbreviated in the second name is
// that of the first.
func (c *Checklist) hybrid(text string) (Match, bool) {
	words := strings.Fields(strings.ReplaceAll(text, "×", " × "))
	at := slices.IndexFunc(words, func(w string) bool { return w == "×" || w == "x" || w == "X" })
	if at < 2 || at == len(words)-1 {
		return Match{}, false // "Rana × esculenta" is one name
	}
	a, ok := c.parent(words[:at], "")
	if !ok {
		return Match{}, false
	}
	b, ok := c.parent(words[at+1:], a.Genus)
	if !ok {
		return Match{}, false
	}
	m := Match{State: min(a.State, b.State), Via: ViaHybrid, ScientificName: a.ScientificName + " × " + b.ScientificName,
		Problems: append(a.Problems, b.Problems...)}
	m.Kingdom, m.Phylum, m.Class = same(a.Kingdom, b.Kingdom), same(a.Phylum, b.Phylum), same(a.Class, b.Class)
	m.Order, m.Family, m.Genus = same(a.Order, b.Order), same(a.Family, b.Family), same(a.Genus, b.Genus)
	return m, true
}

// parent settles one parent of a hybrid, which must be a species without doubt.
func (c *Checklist) parent(words []string, genus string) (Match, bool) {
	text := strings.Join(words, " ")
	var m Match
	if n, ok := parse(genus+" "+text, false); genus != "" && ok && isEpithet(words[0]) {
		m = c.scientific(n)
	} else if n, ok := parse(text, false); ok && n.short && genus != "" && strings.HasPrefix(key(genus), key(n.genus)) {
		n.genus, n.short = genus, false
		m = c.scientific(n)
	} else {
		m = c.settle(text)
	}
	return m, m.State != Unread && m.SpecificEpithet != "" && m.Qualifier == ""
}

func same(a, b string) string {
	if a == b {
		return a
	}
	return ""
}
