package prove

import (
	"errors"
	"fmt"
	"io"
	"path"
	"path/filepath"
	"strings"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/record"
)

// withoutMeta proves the one text file of a container that has no metafile.
func (p *prover) withoutMeta() error {
	var texts []string
	for _, n := range p.box.names() {
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
	text, _, err := decoded(r, e.encoding)
	if err != nil {
		return err
	}
	if head, _ := text.Peek(1 << 12); strings.Count(string(head), "\t") > strings.Count(string(head), ",") || strings.EqualFold(filepath.Ext(name), ".tsv") {
		e.separator = "\t"
	}
	head := newTextReader(text, e)
	_, err = head.next()
	if errors.Is(err, io.EOF) {
		p.add("file-empty", line(name, 0), "", "", "the file is empty", guide+"1")
		return nil
	}
	var shape *textError
	if errors.As(err, &shape) {
		p.add("text-shape", line(name, shape.line), "", "", shape.why, guide+"2.2.1")
		return nil
	}
	if err != nil {
		return err
	}
	p.headings(name, head.texts(), e)
	core := p.newRuns()
	defer core.close()
	if err := p.entity(name, e, core); err != nil || e.id < 0 {
		return err
	}
	return p.unique(e, core)
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
			p.add("heading-twice", at, h, h, fmt.Sprintf("the heading stands in column %s too", record.ColumnLetters(first+1)), guide+"2.4")
			continue
		}
		seen[iri] = i
		e.fields = append(e.fields, field{index: i, iri: iri})
	}
	for _, class := range []struct{ id, name string }{{"measurementID", "MeasurementOrFact"}, {"occurrenceID", "Occurrence"}, {"eventID", "Event"}, {"taxonID", "Taxon"}} {
		if i, ok := seen[dwcSpace+"terms/"+class.id]; ok {
			e.id, e.rowType = i, dwcSpace+"terms/"+class.name
			return
		}
	}
	e.rowType = dwcSpace + "xsd/simpledarwincore/SimpleDarwinRecord"
}
