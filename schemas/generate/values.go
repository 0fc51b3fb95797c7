package main

import (
	"bytes"
	"encoding/csv"
	"os"
	"path/filepath"

	"github.com/gocarina/gocsv"
)

const valuesHeader = "# Values of controlled Darwin Core terms. Source: TDWG vocabularies for establishmentMeans, degreeOfEstablishment and pathway (rs.tdwg.org repository of 2026-07-19, CC BY 4.0); names of Darwin Core classes (list of term versions of 2026-08-15); the values that the standard's own comments and the table schemas of its data package name; DCMI Type Vocabulary (as rdflib 6.1.1 has it). Made by schemas/generate; do not edit.\n"

// concept is one row of a published vocabulary.
type concept struct {
	Name       string `csv:"term_localName"`
	Value      string `csv:"controlled_value_string"`
	Space      string `csv:"term_isDefinedBy"`
	Deprecated string `csv:"term_deprecated"`
}

// named are the values that the comments and examples of a term name, also those
// of the data package's table schemas. A must
// says that the standard leaves no other value; should, that it advises these.
var named = []struct {
	term, strength string
	values         []string
}{
	{"type", "must", []string{"Collection", "Dataset", "Event", "Image", "InteractiveResource", "MovingImage", "PhysicalObject", "Service", "Software", "Sound", "StillImage", "Text"}},
	{"occurrenceStatus", "must", []string{"present", "absent", "detected", "notDetected"}},
	{"eventCategory", "should", []string{"Event", "MaterialGathering", "Occurrence", "OrganismInteraction", "Survey", "material gathering", "nucleotide analysis", "occurrence", "organism interaction", "survey", "varied"}},
	{"vitality", "should", []string{"alive", "dead", "mixedLot", "uncertain", "notAssessed"}},
	{"continent", "should", []string{"Africa", "Antarctica", "Asia", "Europe", "North America", "Oceania", "South America"}},
}

// darwinCoreValues makes the table of controlled values.
func darwinCoreValues(shared string) ([]byte, error) {
	var buf bytes.Buffer
	buf.WriteString(valuesHeader)
	w := csv.NewWriter(&buf)
	w.Write([]string{"term", "value", "iri", "strength"})
	if err := classValues(w, shared); err != nil {
		return nil, err
	}
	for _, n := range named {
		for _, v := range n.values {
			w.Write([]string{n.term, v, "", n.strength})
		}
	}
	for _, term := range []string{"degreeOfEstablishment", "establishmentMeans", "pathway"} {
		b, err := os.ReadFile(filepath.Join(shared, "standards", "vocabularies", term+".csv"))
		if err != nil {
			return nil, err
		}
		var rows []concept
		if err := gocsv.UnmarshalBytes(b, &rows); err != nil {
			return nil, err
		}
		for _, r := range rows {
			if r.Value != "" && r.Deprecated != "true" {
				w.Write([]string{term, r.Value, r.Space + r.Name, "should"})
			}
		}
	}
	w.Flush()
	return buf.Bytes(), w.Error()
}

// classValues writes the names of the current classes, which are the values
// that the standard advises for basisOfRecord.
func classValues(w *csv.Writer, shared string) error {
	b, err := os.ReadFile(filepath.Join(shared, "standards", "darwin-core", "term_versions.csv"))
	if err != nil {
		return err
	}
	var all []version
	if err := gocsv.UnmarshalBytes(b, &all); err != nil {
		return err
	}
	latest, order := latestVersions(all)
	for _, iri := range order {
		if v := latest[iri]; v.Status == "recommended" && kindName(v) == "class" {
			w.Write([]string{"basisOfRecord", v.Name, v.Term, "should"})
		}
	}
	return nil
}
