package taxon

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/hbollon/go-edlib"

	"spadefoot/pipeline/record"
)

// Rules raised here; each has a row in schemas/rules/taxon.csv.
const (
	RuleUnmatched = "taxon-unmatched" // a name that the checklist does not have
	RuleUnread    = "taxon-unread"    // no name could be read
	RuleAmbiguous = "taxon-ambiguous" // several names of the checklist fit
	RuleSynonym   = "taxon-synonym"
	RuleDoubtful  = "taxon-doubtful"
	RuleConflict  = "taxon-conflict" // two names in one cell disagree
	RuleAuthor    = "taxon-author"
)

func (m *Match) add(rule string, level record.Level, suggestion, format string, args ...any) {
	m.Problems = append(m.Problems, record.Problem{Rule: rule, Level: level, Reason: fmt.Sprintf(format, args...), Suggestion: suggestion})
}

func unread(reason string) Match {
	return Match{Problems: []record.Problem{{Rule: RuleUnread, Level: record.Warning, Reason: reason}}}
}

func ambiguous(text string, fits []*Entry) Match {
	m := Match{Problems: []record.Problem{{Rule: RuleAmbiguous, Level: record.Warning,
		Reason: fmt.Sprintf("%q fits %s; write the name in full", text, listed(fits))}}}
	m.common(fits, "they", "it fits several names")
	return m
}

// listed names entries for a sentence: "A and B", "A, B and C".
func listed(entries []*Entry) string {
	var names []string
	for _, e := range entries {
		names = append(names, e.parsed.String())
	}
	slices.Sort(names)
	names = slices.Compact(names)
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// ambiguousWord reports a vernacular name of several entries.
func (c *Checklist) ambiguousWord(text string) (Match, bool) {
	if c == nil {
		return Match{}, false
	}
	if list := c.vernacular[letters(text)]; len(list) > 1 {
		return ambiguous(text, list), true
	}
	return Match{}, false
}

// abbreviated returns the rows whose name fits an abbreviated genus.
func (c *Checklist) abbreviated(n name) []*Entry {
	if c == nil {
		return nil
	}
	var fits []*Entry
	for _, e := range c.epithets[key(n.species, n.infra)] {
		if strings.HasPrefix(key(e.parsed.genus), key(n.genus)) {
			fits = append(fits, e)
		}
	}
	return fits
}

// shortName settles a name with an abbreviated genus.
func (c *Checklist) shortName(n name) Match {
	if n.species == "" {
		return c.shortGenus(n)
	}
	fits := c.abbreviated(n)
	accepted := map[*Entry]bool{}
	for _, e := range fits {
		accepted[e.accepted] = true
	}
	switch {
	case len(accepted) > 1:
		return ambiguous(n.String(), fits)
	case len(fits) == 0:
		m := unread(fmt.Sprintf("the genus of %q is abbreviated, and no name in the checklist fits", n))
		if c == nil {
			m.Problems[0].Reason = fmt.Sprintf("the genus of %q is abbreviated, and there is no checklist to look it up in; name one in survey.yaml under tables.checklist", n)
		}
		m.suggest(n.key(), c.shortened(n))
		return m
	}
	best := fits[0] // an accepted name before its synonyms
	for _, e := range fits {
		if e == e.accepted {
			best = e
		}
	}
	m := c.whole(best, ViaAbbreviated)
	return withAuthor(n, c.demote(m, n))
}

// shortened returns the names of the checklist as they would be written with the
// genus abbreviated as in n.
func (c *Checklist) shortened(n name) []spelling {
	var list []spelling
	for i := range c.Len() {
		if e := &c.entries[i]; strings.HasPrefix(key(e.parsed.genus), key(n.genus)) {
			list = append(list, spelling{key(n.genus, e.parsed.species, e.parsed.infra), e.parsed.String(), e.accepted})
		}
	}
	return list
}

// shortGenus settles "L. sp.", which needs the only genus with that beginning.
func (c *Checklist) shortGenus(n name) Match {
	var fits []*Entry
	for e := range c.accepted() {
		if e.parsed.species != "" && strings.HasPrefix(key(e.parsed.genus), key(n.genus)) {
			fits = append(fits, c.genus(c.genera[key(e.parsed.genus)]))
		}
	}
	for _, e := range fits {
		if e.parsed.genus != fits[0].parsed.genus {
			return ambiguous(n.String(), fits)
		}
	}
	if len(fits) == 0 {
		return unread(fmt.Sprintf("the genus of %q is abbreviated and cannot be determined", n))
	}
	return c.demote(c.whole(fits[0], ViaAbbreviated), n)
}

// absent returns a name that the checklist does not have as it was written.
func (c *Checklist) absent(n name) Match {
	m := n.match()
	if list := c.genera[key(n.genus)]; len(list) > 0 && n.species != "" {
		m = c.genus(list).match()
		m.State, m.TaxonID, m.Vernacular, m.Problems, m.Synonym = Parsed, "", "", nil, ""
		m.ScientificName, m.Rank, m.Genus, m.SpecificEpithet, m.InfraspecificEpithet = n.String(), n.rank(), n.genus, n.species, n.infra
		m.Authorship = ""
	}
	m.Accepted = ""
	m.add(RuleUnmatched, record.Warning, "", "%s is not in the checklist", n)
	m.suggest(n.key(), c.spellings())
	return withAuthor(n, doubted(m, n, nil))
}

// unmatched reports text that is not a name at all.
func (c *Checklist) unmatched(text string) Match {
	m := unread(fmt.Sprintf("%q is not a scientific name", text))
	if c != nil {
		if n, rest, ok := c.leading(text); ok {
			m.Problems[0].Reason = fmt.Sprintf("%q after %s cannot be read", rest, n)
			m.Problems[0].Suggestion = n.String()
			return m
		}
		m.Problems[0].Reason += " or a vernacular name or code in the checklist"
		if c.likeACode(text) {
			m.common(slices.Collect(c.accepted()), "all names of the checklist", "its code is not in the checklist")
		}
		m.suggest(key(strings.Fields(text)...), c.spelt)
		if m.Problems[0].Suggestion == "" {
			m.suggest(letters(text), c.spelt)
		}
	}
	return m
}

// leading finds a species of the checklist in the first two words of a text.
func (c *Checklist) leading(text string) (n name, rest string, ok bool) {
	words := strings.Fields(text)
	if len(words) < 3 {
		return name{}, "", false
	}
	n, ok = parse(strings.TrimRight(strings.Join(words[:2], " "), ",;:-"), true)
	if !ok || n.short || n.species == "" || n.doubt != certain || !c.has(n) {
		return name{}, "", false
	}
	return c.names[n.key()].accepted.parsed, strings.Join(words[2:], " "), true
}

func (c *Checklist) spellings() []spelling {
	if c == nil {
		return nil
	}
	return c.spelt
}

// suggest adds to the last problem what was probably meant: the one accepted
// name whose spelling, or whose vernacular name's, is nearest, two slips away
// at most (one in a short name). Several as near are named, none suggested.
func (m *Match) suggest(key string, spelt []spelling) {
	length := utf8.RuneCountInString(key)
	if length < 5 || length > 80 {
		return
	}
	best := 2
	if length < 8 {
		best = 1
	}
	var near []spelling
	for _, s := range spelt {
		if n := utf8.RuneCountInString(s.key); n < length-best || n > length+best {
			continue
		}
		d := edlib.OSADamerauLevenshteinDistance(key, s.key)
		if d < best {
			best, near = d, near[:0]
		}
		if d == best {
			near = append(near, s)
		}
	}
	if len(near) == 0 {
		return
	}
	p := &m.Problems[len(m.Problems)-1]
	var entries []*Entry
	for _, s := range near {
		entries = append(entries, s.entry)
	}
	for _, e := range entries {
		if e != entries[0] {
			p.Reason += fmt.Sprintf("; %s are spelled similarly", listed(entries))
			return
		}
	}
	p.Reason += fmt.Sprintf("; %s is spelled similarly", near[0].text)
	p.Suggestion = entries[0].parsed.String()
}
