package prove

import (
	"errors"
	"fmt"
	"io"
	"path"
	"strings"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/prove/quality"
	"spadefoot/pipeline/record"
)

// withoutMeta proves the one text file of a container that has no metafile.
func (p *prover) withoutMeta() error {
	var texts []string
	for _, n := range p.box.names {
		switch strings.ToLower(path.Ext(n)) {
		case ".csv", ".txt", ".tsv":
			texts = append(texts, n)
		}
	}
	if len(texts) == 1 {
		return p.simple(texts[0])
	}
	p.add("meta-missing", line("meta.xml", 0), "", "", fmt.Sprintf("there is no meta.xml, and %d text files instead of one with terms as headings", len(texts)), guide+"2")
	return nil
}

// simple proves a text file without a metafile: its headings are the terms.
func (p *prover) simple(name string) error {
	r, err := p.box.open(name)
	if err != nil {
		return err
	}
	defer r.Close()
	e := &entity{core: true, encoding: "UTF-8", separator: ",", ending: "\n", quote: `"`, skip: 1, id: -1, files: []located{{name, 0}}}
	text, mark, err := decoded(r, e.encoding)
	if err != nil {
		return err
	}
	if mark == "UTF-16" {
		e.encoding = mark
	}
	first, _ := text.Peek(1 << 12)
	e.separator, e.ending = written(string(first), e.quote)
	head := newTextReader(text, e)
	_, err = head.next()
	if errors.Is(err, io.EOF) {
		p.add("file-empty", line(name, 0), "", "", "the file is empty", guide+"1")
		return nil
	}
	if err != nil {
		return p.misshapen(err, name, guide+"2.2.1")
	}
	header := head.texts()
	if noHeading(header) {
		p.add("heading-is-data", line(name, 1), "", header[0], "this is a row of data, not a heading: no cell is the name of a term", guide+"1")
		return nil
	}
	p.headings(name, header, e)
	core := p.newRuns()
	defer core.close()
	if err := p.entity(name, e, core); err != nil || e.id < 0 {
		return err
	}
	return p.unique(e, core)
}

// written finds the separator and the line end of a text by its first line: of
// the separators the one that parts the most names of terms.
func written(text, quote string) (separator, ending string) {
	ending = "\n"
	end := strings.IndexAny(text, "\r\n")
	switch {
	case end < 0:
		end = len(text)
	case strings.HasPrefix(text[end:], "\r\n"):
		ending = "\r\n"
	case text[end] == '\r':
		ending = "\r"
	}
	most := -1
	for _, s := range separators {
		n := 0
		for _, cell := range strings.Split(text[:end], s) {
			if isTerm(strings.Trim(cell, quote)) {
				n++
			}
		}
		if cells := strings.Count(text[:end], s); n*1000+cells > most {
			separator, most = s, n*1000+cells
		}
	}
	return separator, ending
}

func isTerm(heading string) bool {
	_, known := terms.Lookup(strings.TrimSpace(heading))
	return known
}

// noHeading reports whether a first row is plainly data: none of its cells is a
// term for a column, and one of them is a number or a date, or the name of a
// class.
func noHeading(cells []string) bool {
	data := false
	for _, c := range cells {
		c = strings.TrimSpace(c)
		if t, known := terms.Lookup(c); known && t.Kind == "property" {
			return false
		} else if known {
			data = true
		}
		_, number := decimal(c)
		data = data || number || quality.IsDate(c)
	}
	return data
}

// headings makes the fields of a file from its headings.
func (p *prover) headings(name string, header []string, e *entity) {
	seen := map[string]int{}
	for i, h := range header {
		h = strings.TrimSpace(h)
		at := record.Address{File: name, Row: 1, Column: i + 1}
		iri := h
		if t, ok := terms.Lookup(h); ok {
			iri = t.IRI
		}
		if first, twice := seen[iri]; twice {
			p.add("heading-twice", at, h, h, fmt.Sprintf("the heading is in column %s too", record.ColumnLetters(first+1)), guide+"2.4")
			continue
		}
		seen[iri] = i
		e.fields = append(e.fields, field{index: i, iri: iri})
	}
	e.rowType, e.id = classOf(seen)
}

// classOf finds the class of the rows of a table by the terms that it has, with
// the column that identifies them, -1 for none.
func classOf(at map[string]int) (class string, id int) {
	has := func(name string) bool { _, ok := at[dwcSpace+"terms/"+name]; return ok }
	column := func(name string) int {
		if i, ok := at[dwcSpace+"terms/"+name]; ok {
			return i
		}
		return -1
	}
	name := "SimpleDarwinRecord"
	switch {
	case (has("measurementType") || has("measurementValue")) && !has("scientificName") && !has("basisOfRecord"):
		return dwcSpace + "terms/MeasurementOrFact", column("measurementID")
	case has("identificationID"):
		return dwcSpace + "terms/Identification", column("identificationID")
	case has("resourceRelationshipID") || has("relatedResourceID"):
		return dwcSpace + "terms/ResourceRelationship", column("resourceRelationshipID")
	case has("vernacularName") && !has("scientificName") && !has("occurrenceID"):
		return vernacularNames, -1
	case has("taxonID") && !has("scientificName") && !has("occurrenceID") && (has("locality") || has("locationID") || has("countryCode")):
		return distributions, -1
	case has("occurrenceID"):
		name = "Occurrence"
	case has("eventID"):
		name = "Event"
	case has("taxonID"):
		name = "Taxon"
	default:
		return dwcSpace + "xsd/simpledarwincore/" + name, -1
	}
	return dwcSpace + "terms/" + name, column(strings.ToLower(name[:1]) + name[1:] + "ID")
}
