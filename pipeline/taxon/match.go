package taxon

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"spadefoot/pipeline/record"
)

// State says how far a text was settled.
type State uint8

// The states of a match.
const (
	Unread  State = iota // not read as a name: of what was written at most a group is certain
	Parsed               // reads as a scientific name that the checklist does not have
	Matched              // settled by the checklist
)

// Ways that lead from a text to a name.
const (
	ViaName        = "name"
	ViaSynonym     = "synonym"
	ViaVernacular  = "vernacular"
	ViaCode        = "code"
	ViaAbbreviated = "abbreviated genus"
	ViaGenus       = "genus"
	ViaGroup       = "group" // family, order, class, …
	ViaHybrid      = "hybrid"
)

// Match is what a text under Species says. ScientificName is the name to
// publish, without author: for a synonym the accepted name, with Synonym the
// name as the checklist spells it; for a doubted name the group that is
// certain, with the doubt in Qualifier. It is empty where nothing is certain.
type Match struct {
	State          State
	ScientificName string
	Authorship     string
	Rank           string
	Groups
	Genus                string
	Subgenus             string // as dwc:subgenus, with the genus: "Rana (Rana)"
	SpecificEpithet      string
	InfraspecificEpithet string
	Vernacular           string // first vernacular name of the checklist
	TaxonID              string
	Qualifier            string // dwc:identificationQualifier
	Verbatim             string
	Via                  string
	Synonym              string // the synonym that was written, if one was
	Remark               string // dwc:identificationRemarks: why the name is not a lower
	Accepted             string // the accepted name, where the checklist was asked and answered
	Problems             []record.Problem
}

// Match settles a text. It reads, in this order: a name of the checklist, a
// code, a vernacular name, a vernacular name with the scientific name in
// brackets, a hybrid, and any other scientific name; without a checklist one in
// small or capital letters only if its genus is known. Blank text gives an
// unread match without a problem. The receiver may be nil.
func (c *Checklist) Match(text string) Match {
	clean := strings.Join(strings.Fields(text), " ")
	if clean == "" {
		return Match{Verbatim: text}
	}
	m := c.settle(clean)
	m.Verbatim, m.Subgenus = text, m.subgenusIn(clean)
	return m
}

// subgenusIn is the subgenus that a name is written with, in the genus that is
// published.
func (m *Match) subgenusIn(text string) string {
	if m.Genus == "" || !strings.Contains(text, "(") {
		return ""
	}
	n, ok := parse(text, false)
	if !ok || n.subgenus == "" || n.genus != m.Genus && !(n.short && strings.HasPrefix(m.Genus, strings.TrimSuffix(n.genus, "."))) {
		return ""
	}
	return fmt.Sprintf("%s (%s)", m.Genus, n.subgenus)
}

func (c *Checklist) settle(text string) Match {
	if e, via := c.known(text); e != nil {
		return c.whole(e, via)
	}
	if m, ok := c.ambiguousWord(text); ok {
		return m
	}
	if unidentified(text) {
		return unread(fmt.Sprintf("%q says that the animal was not identified; write the lowest group that is certain", text))
	}
	if m, ok := c.bracketed(text); ok {
		return m
	}
	if m, ok := c.doubtedWord(text); ok {
		return m
	}
	if m, ok := c.hybrid(text); ok {
		return m
	}
	if n, ok := parse(text, true); ok && (c.has(n) || c == nil && n.species != "" && n.infra == "" && animalGenera()[letters(n.genus)]) {
		return c.scientific(n)
	}
	if n, ok := parse(text, false); ok && !c.isCode(n) {
		return c.scientific(n)
	}
	return c.unmatched(text)
}

// shortestGenus is the length from which one word by itself is read as the name of a
// genus that is not known: Vb and Nn are codes of a team.
const shortestGenus = 4

// isCode reports whether a name of one word is a code or an everyday name of the
// checklist with something behind it, and no name of its own, or so short that it is
// hardly a name.
func (c *Checklist) isCode(n name) bool {
	if c == nil && n.species == "" && utf8.RuneCountInString(n.genus) < shortestGenus {
		return !animalGenera()[letters(n.genus)]
	}
	e, _ := c.known(n.genus)
	return n.species == "" && e != nil && !c.has(n)
}

// known looks the whole text up as a code and as a vernacular name, which a
// question mark puts in doubt.
func (c *Checklist) known(text string) (*Entry, string) {
	if c == nil || strings.Contains(text, "?") {
		return nil, ""
	}
	k := letters(text)
	if e := c.codes[k]; e != nil {
		return e, ViaCode
	}
	if list := c.vernacular[k]; len(list) == 1 {
		return list[0], ViaVernacular
	}
	return nil, ""
}

// has reports whether the checklist leads on from a name: it has the name, or
// (of a name in doubt or without a species) its genus or group.
func (c *Checklist) has(n name) bool {
	if c == nil {
		return false
	}
	if n.species == "" {
		return c.names[n.key()] != nil || c.genera[n.key()] != nil || c.higher[n.key()] != nil
	}
	if n.short {
		return len(c.abbreviated(n)) > 0
	}
	return c.names[n.key()] != nil
}

// whole returns an entry as a match without doubt.
func (c *Checklist) whole(e *Entry, via string) Match {
	m := e.match()
	m.State, m.Via = Matched, via
	return m
}

// match fills in what an entry knows. A synonym gives its accepted name.
func (e *Entry) match() Match {
	a := e
	if e.accepted != nil {
		a = e.accepted
	}
	m := Match{
		ScientificName: a.parsed.String(), Authorship: a.Authorship, Rank: a.Rank,
		Groups:          a.Groups,
		SpecificEpithet: a.parsed.species, InfraspecificEpithet: a.parsed.infra,
		TaxonID: a.TaxonID, Accepted: a.parsed.String(),
	}
	if a.parsed.species != "" || strings.EqualFold(a.Rank, "genus") {
		m.Genus = a.parsed.genus
	}
	for word := range bars(a.Vernacular) {
		m.Vernacular = word
		break
	}
	if a != e {
		m.Synonym = e.parsed.String()
		m.add(RuleSynonym, record.Note, "", "%s is a synonym of %s in the checklist; the accepted name is published", e.parsed, a.parsed)
	}
	return m
}

// scientific settles a parsed name.
func (c *Checklist) scientific(n name) Match {
	if n.short {
		return c.shortName(n)
	}
	if c == nil {
		return withAuthor(n, doubted(n.match(), n, nil))
	}
	if n.species == "" {
		return c.group(n)
	}
	e := c.names[n.key()]
	if e == nil {
		return c.absent(n)
	}
	return c.written(n, e, ViaName)
}

// written settles a name that was written in full and is that of an entry.
func (c *Checklist) written(n name, e *Entry, via string) Match {
	m := c.whole(e, via)
	if m.Synonym != "" {
		m.Via = ViaSynonym
	}
	return withAuthor(n, c.demote(m, n))
}

// withAuthor compares the author that was written with the checklist's.
func withAuthor(n name, m Match) Match {
	if n.author == "" || m.Rank == "" && m.State == Matched {
		return m
	}
	switch {
	case m.State == Parsed && m.ScientificName == n.String():
		m.Authorship = n.author
	case m.Synonym == "" && m.ScientificName == n.String() && m.Authorship != "" && letters(m.Authorship) != letters(n.author):
		m.add(RuleAuthor, record.Note, m.Authorship, "the checklist gives %s as author of %s, not %s", m.Authorship, m.ScientificName, n.author)
	}
	return m
}

// group settles a name of one word: an entry, a genus or a larger group.
func (c *Checklist) group(n name) Match {
	k := n.key()
	switch {
	case c.names[k] != nil:
		return c.written(n, c.names[k], ViaName)
	case len(c.genera[k]) > 0:
		return c.written(n, c.genus(c.genera[k]), ViaGenus)
	case c.higher[k] != nil:
		return c.written(n, c.higher[k], ViaGroup)
	}
	return c.absent(n)
}

// genus cuts the entries of one genus down to what they share.
func (c *Checklist) genus(list []*Entry) *Entry {
	if e := c.names[key(list[0].parsed.genus)]; e != nil {
		return e
	}
	shared := list[0].Groups
	for _, o := range list[1:] {
		for i, group := range shared.ranked() {
			if *group.name != *o.ranked()[i].name {
				*group.name = ""
			}
		}
	}
	return &Entry{Rank: "genus", Groups: shared, parsed: name{genus: list[0].parsed.genus}}
}

// match returns a parsed name unchanged.
func (n name) match() Match {
	m := Match{State: Parsed, ScientificName: n.String(), Rank: n.rank(), SpecificEpithet: n.species,
		InfraspecificEpithet: n.infra}
	if n.species != "" || m.Rank == "genus" {
		m.Genus = n.genus
	}
	return m
}
