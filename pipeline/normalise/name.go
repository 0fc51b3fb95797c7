package normalise

import (
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
	r.put(tScientificName, m.word.value, c.Verbatim(), from).Word = m.word.number
	for i := range m.beside {
		r.ofName(&m.beside[i], &from)
	}
	if strings.TrimSpace(c.Verbatim()) != m.ScientificName {
		r.ofName(&word{said: said{tVerbatimIdentification, c.Verbatim()}}, &from)
	}
}

// named is what the checklist says of a name, as values of its term and of others.
type named struct {
	taxon.Match
	word   word
	beside []word
}

// match settles a name by the checklist.
func (r *row) match(text string) *named {
	known := r.columns.names
	if m := known.find(text); m != nil {
		return m
	}
	text = strings.Clone(text)
	m := r.x.Checklist.Match(text)
	return known.keep(text, &named{m, r.x.word(said{tScientificName, m.ScientificName}), r.x.numbered(
		said{tScientificNameAuthorship, m.Authorship}, said{tTaxonRank, m.Rank}, said{tKingdom, m.Kingdom}, said{tPhylum, m.Phylum},
		said{tClass, m.Class}, said{tOrder, m.Order}, said{tFamily, m.Family}, said{tGenus, m.Genus}, said{tSubgenus, m.Subgenus},
		said{tSpecificEpithet, m.SpecificEpithet}, said{tInfraspecificEpithet, m.InfraspecificEpithet}, said{tIdentificationQualifier, m.Qualifier}, said{tTaxonID, m.TaxonID},
		said{tIdentificationRemarks, m.Remark},
	)})
}

// ofName sets a term that goes with the name, unless a column of its own says
// it.
func (r *row) ofName(w *word, from *record.Address) {
	if w.value == "" || r.filled(r.value(w.slot)) {
		return
	}
	r.putAt(w.slot, w.value, "", from).Word = w.number
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
