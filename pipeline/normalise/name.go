package normalise

import (
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/taxon"
)

// name reads the scientific name against the checklist.
func (r *row) name() {
	i, c, ok := r.cellOf(tScientificName)
	from, text := record.Address{}, ""
	if ok {
		from, text = r.at(c), c.Text
		if own, has := r.ownWord(i, c); has {
			text = own
		}
	} else {
		d := r.value(tScientificName)
		if d == nil || d.Text == "" {
			return
		}
		text = d.Text
		c = &record.Cell{Text: d.Text, Row: d.From().Row, Column: d.From().Column}
		from = d.From()
	}
	m := r.match(text)
	if ok && m.State != taxon.Matched && r.noAnimal(text) {
		r.absentByName(c)
		return
	}
	for _, p := range m.Problems {
		r.findings = append(r.findings, p.Finding(from, "scientificName", c.Text))
	}
	from = r.at(c)
	r.put(tScientificName, m.ScientificName, c.Verbatim(), from)
	for _, t := range m.beside {
		r.ofName(t.slot, t.value, from)
	}
	if strings.TrimSpace(c.Verbatim()) != m.ScientificName {
		r.ofName(tVerbatimIdentification, c.Verbatim(), from)
	}
}

// named is what the checklist says of a name, and what that is of other terms.
type named struct {
	taxon.Match
	beside []said
}

// match settles a name by the checklist.
func (r *row) match(text string) *named {
	known := r.columns.names
	if m := known.find(text); m != nil {
		return m
	}
	text = strings.Clone(text)
	m := r.x.Checklist.Match(text)
	return known.keep(text, &named{m, slices.DeleteFunc([]said{
		{tScientificNameAuthorship, m.Authorship}, {tTaxonRank, m.Rank}, {tKingdom, m.Kingdom}, {tPhylum, m.Phylum},
		{tClass, m.Class}, {tOrder, m.Order}, {tFamily, m.Family}, {tGenus, m.Genus}, {tSubgenus, m.Subgenus},
		{tSpecificEpithet, m.SpecificEpithet}, {tInfraspecificEpithet, m.InfraspecificEpithet}, {tIdentificationQualifier, m.Qualifier}, {tTaxonID, m.TaxonID},
		{tIdentificationRemarks, m.Remark},
	}, func(s said) bool { return s.value == "" })})
}

// ofName sets a term that goes with the name, unless a column of its own says
// it.
func (r *row) ofName(s slot, text string, from record.Address) {
	if text == "" {
		return
	}
	if r.filled(r.value(s)) {
		return
	}
	r.put(s, text, "", from)
}

// ownWord is what the mapping says that the text of a cell means.
func (r *row) ownWord(i int, c *record.Cell) (string, bool) {
	words := r.table.Columns[i].Meaning.Vocabulary
	if len(words) == 0 {
		return "", false
	}
	own, has := words[strings.TrimSpace(c.Text)]
	return own, has
}
