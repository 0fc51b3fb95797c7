package normalise

import (
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/taxon"
)

// name reads the scientific name against the checklist.
func (r *row) name() {
	i, c, ok := r.cellOf("scientificName")
	text := c.Text
	if !ok {
		d := r.capture.Value("scientificName")
		if d == nil || d.Text == "" {
			return
		}
		text = d.Text
		c = record.Cell{Text: d.Text, Row: d.From.Row, Column: d.From.Column}
	} else if own, has := r.table.Columns[i].Meaning.Vocabulary[strings.TrimSpace(c.Text)]; has {
		text = own
	}
	m := r.columns.names.Get(text, func() taxon.Match { return r.x.Checklist.Match(text) })
	for _, p := range m.Problems {
		f := p.Finding(r.at(c), "scientificName", c.Text)
		if !ok {
			f.At = r.capture.Value("scientificName").From
		}
		r.findings = append(r.findings, f)
	}
	from := r.at(c)
	set := func(term, value string) {
		if value == "" {
			return
		}
		if old := r.capture.Value(term); old != nil && (old.Verbatim != "" || old.From.Row > 0) && term != "scientificName" {
			return // a column of its own says it
		}
		r.capture.Set(record.Value{Term: term, Text: value, From: from})
	}
	r.capture.Set(record.Value{Term: "scientificName", Text: m.ScientificName, Verbatim: c.Verbatim(), From: from})
	set("scientificNameAuthorship", m.Authorship)
	set("taxonRank", m.Rank)
	set("kingdom", m.Kingdom)
	set("phylum", m.Phylum)
	set("class", m.Class)
	set("order", m.Order)
	set("family", m.Family)
	set("genus", m.Genus)
	set("specificEpithet", m.SpecificEpithet)
	set("infraspecificEpithet", m.InfraspecificEpithet)
	set("identificationQualifier", m.Qualifier)
	set("taxonID", m.TaxonID)
	if strings.TrimSpace(c.Verbatim()) != m.ScientificName {
		set("verbatimIdentification", c.Verbatim())
	}
}
