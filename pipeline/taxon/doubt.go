package taxon

import (
	"strings"

	"spadefoot/pipeline/record"
)

// demote brings a match down to the part of the name that is certain.
func (c *Checklist) demote(m Match, n name) Match {
	var up *Entry
	if n.doubt == doubtSpecies {
		if list := c.genera[key(m.Genus)]; len(list) > 0 {
			up = c.genus(list)
		}
	}
	return doubted(m, n, up)
}

// doubted keeps of a match what the doubt of the name leaves certain: the
// species of a doubted subspecies, the genus (up, where the checklist has it)
// of a doubted species, the family or next larger group of a doubted genus.
func doubted(m Match, n name, up *Entry) Match {
	m.Qualifier = n.qualifier
	if n.doubt == certain {
		return m
	}
	m.Authorship, m.TaxonID, m.Vernacular = "", "", ""
	m.InfraspecificEpithet = ""
	switch n.doubt {
	case doubtInfra:
		m.ScientificName, m.Rank = strings.Join([]string{m.Genus, m.SpecificEpithet}, " "), "species"
	case doubtSpecies:
		m.SpecificEpithet, m.ScientificName, m.Rank = "", m.Genus, "genus"
		if up != nil {
			m.TaxonID = up.TaxonID
		}
	case doubtGenus:
		m.SpecificEpithet, m.Genus = "", ""
		m.ScientificName, m.Rank = m.lowestGroup()
	}
	if m.Accepted != "" {
		m.Accepted = m.ScientificName
	}
	said := m.ScientificName
	if said == "" {
		said = "no name"
		m.State = Unread
	}
	m.add(RuleDoubtful, record.Note, "", "the writer was not sure (%s); %s is published as certain", n.qualifier, said)
	return m
}

// doubtedWord settles a code or vernacular name with words of doubt around it:
// "green frog?", "cf. LICL".
func (c *Checklist) doubtedWord(text string) (Match, bool) {
	list := tokens(text)
	var before, behind []string
	for len(list) > 0 && qualifier(list[0]) != "" {
		before, list = append(before, qualifier(list[0])), list[1:]
	}
	for len(list) > 0 && list[len(list)-1] == "?" {
		behind, list = append(behind, "?"), list[:len(list)-1]
	}
	if len(before)+len(behind) == 0 || len(list) == 0 {
		return Match{}, false
	}
	e, via := c.known(strings.Join(list, " "))
	if e == nil {
		return Match{}, false
	}
	part, where := e.parsed.species, doubtSpecies
	if part == "" {
		part, where = e.parsed.genus, doubtGenus
	}
	if e.parsed.infra != "" {
		part += " " + e.parsed.infra
	}
	said := strings.Join(before, " ") + " " + part + strings.Join(behind, "")
	return c.demote(c.whole(e, via), name{doubt: where, qualifier: strings.TrimSpace(said)}), true
}
