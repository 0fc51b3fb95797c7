package main

import (
	"fmt"
	"strings"
)

// fault is one way to break an archive, and what is to be found.
type fault struct {
	name     string
	in       string // the file that is changed
	old, new string // the text that is changed, at its first place
	change   func(files map[string]string)
	extra    []entry
	base     func() map[string]string // sound if nil
	isTable  bool                     // one text file by itself
	table    string
	ext      string // of the container; .zip if empty, .csv of a table

	rule, level, file string
	line              int
	section           string // of the text guide, or the other reference
	refused           string // what the refusal says, for hostile archives
}

func (f fault) apply(files map[string]string) error {
	if f.change != nil {
		f.change(files)
	}
	if f.old == "" {
		return nil
	}
	changed := strings.Replace(files[f.in], f.old, f.new, 1)
	if changed == files[f.in] {
		return fmt.Errorf("%s holds no %q", f.in, f.old)
	}
	files[f.in] = changed
	return nil
}

const (
	meta    = "meta.xml"
	core    = "occurrence.csv"
	facts   = "measurementorfact.csv"
	eml     = "eml.xml"
	dwc     = "http://rs.tdwg.org/dwc/terms/"
	emlXSD  = "EML 2.2.0 schema"
	wrong   = "error"
	warning = "warning"
)

func rename(from, to string) func(map[string]string) {
	return func(files map[string]string) {
		files[to] = files[from]
		delete(files, from)
	}
}

func drop(name string) func(map[string]string) {
	return func(files map[string]string) { delete(files, name) }
}

// faults of the metafile, by section of the guide, then of data, metadata and
// container.
var faults = append(append(append(metaFaults, dataFaults...), hostile...), moreFaults...)

var metaFaults = []fault{
	{name: "2-meta-name", change: rename(meta, "Meta.xml"), rule: "meta-name", level: wrong, file: "Meta.xml", section: "2"},
	{name: "2-meta-missing", change: drop(meta), rule: "meta-missing", level: wrong, file: meta, section: "2"},
	{name: "2-extension-before-core", change: swapEntities, rule: "meta-schema", level: wrong, file: meta, line: 3, section: "2"},
	{name: "2-unknown-attribute", in: meta, old: `ignoreHeaderLines="1"`, new: `ignoreHeaderLines="1" quoting="all"`, rule: "meta-schema", level: wrong, file: meta, line: 3, section: "2"},
	{name: "2.1-wrong-namespace", in: meta, old: "dwc/text/", new: "dwc/txt/", rule: "meta-not-archive", level: wrong, file: meta, line: 2, section: "2.1"},
	{name: "2.1-metadata-unnamed", in: meta, old: ` metadata="eml.xml"`, rule: "meta-metadata-unnamed", level: warning, file: meta, line: 2, section: "2.1"},
	{name: "2.1.1-metadata-no-url", in: meta, old: `metadata="eml.xml"`, new: `metadata="the file eml"`, rule: "meta-metadata-url", level: wrong, file: meta, line: 2, section: "2.1.1"},
	{name: "2.1.1-metadata-missing", change: drop(eml), rule: "metadata-missing", level: wrong, file: meta, section: "2.1.1"},
	{name: "2.1.2-two-cores", change: twoCores, rule: "meta-core-count", level: wrong, file: meta, line: 18, section: "2.1.2"},
	{name: "2.1.2-no-core", change: noCore, rule: "meta-core-count", level: wrong, file: meta, line: 2, section: "2.1.2"},
	{name: "2.1.2-id-missing", in: meta, old: "    <id index=\"0\"/>\n", rule: "meta-id-missing", level: wrong, file: meta, line: 3, section: "2.1.2"},
	{name: "2.1.2-coreid-missing", in: meta, old: "    <coreid index=\"0\"/>\n", rule: "meta-coreid-missing", level: wrong, file: meta, line: 18, section: "2.1.2"},
	{name: "2.1.2-id-twice", in: core, old: "mc-3", new: "mc-1", rule: "id-twice", level: wrong, file: core, line: 4, section: "2.1.2"},
	{name: "2.1.2-id-empty", in: core, old: "mc-3", rule: "id-missing", level: wrong, file: core, line: 4, section: "2.1.2"},
	{name: "2.1.2-coreid-lost", in: facts, old: "mc-3", new: "mc-4", rule: "coreid-lost", level: wrong, file: facts, line: 5, section: "2.1.2"},
	{name: "2.2.1-rowtype-missing", in: meta, old: ` rowType="` + dwc + `Occurrence"`, rule: "meta-rowtype-missing", level: wrong, file: meta, line: 3, section: "2.2.1"},
	{name: "2.2.1-rowtype-no-uri", in: meta, old: dwc + "Occurrence\"", new: "Occurrence\"", rule: "meta-rowtype-uri", level: wrong, file: meta, line: 3, section: "2.2.1"},
	{name: "2.2.1-rowtype-unknown", in: meta, old: dwc + "MeasurementOrFact", new: dwc + "MeasurementsOrFacts", rule: "meta-rowtype-unknown", level: wrong, file: meta, line: 18, section: "2.2.1"},
	{name: "2.2.1-rowtype-property", in: meta, old: dwc + "Occurrence\"", new: dwc + "occurrenceID\"", rule: "meta-rowtype-class", level: wrong, file: meta, line: 3, section: "2.2.1"},
	{name: "2.2.1-encoding-unknown", in: meta, old: `encoding="UTF-8" fields`, new: `encoding="UTF-9" fields`, rule: "meta-encoding", level: wrong, file: meta, line: 3, section: "2.2.1"},
	{name: "2.2.1-separator-empty", in: meta, old: `fieldsTerminatedBy=","`, new: `fieldsTerminatedBy=""`, rule: "meta-separator", level: wrong, file: meta, line: 3, section: "2.2.1"},
	{name: "2.2.1-quote-long", in: meta, old: `fieldsEnclosedBy="&quot;"`, new: `fieldsEnclosedBy="&quot;&quot;"`, rule: "meta-quote", level: wrong, file: meta, line: 3, section: "2.2.1"},
	{name: "2.2.1-header-lines", in: meta, old: `ignoreHeaderLines="1"`, new: `ignoreHeaderLines="one"`, rule: "meta-header-lines", level: wrong, file: meta, line: 3, section: "2.2.1"},
	{name: "2.2.1-date-format", in: meta, old: `ignoreHeaderLines="1"`, new: `ignoreHeaderLines="1" dateFormat="D. M. YY"`, rule: "meta-date-format", level: wrong, file: meta, line: 3, section: "2.2.1"},
	{name: "2.2.2-files-missing", in: meta, old: "    <files>\n      <location>occurrence.csv</location>\n    </files>\n", rule: "meta-files-count", level: wrong, file: meta, line: 3, section: "2.2.2"},
	{name: "2.2.2-field-missing", change: noFields, rule: "meta-field-missing", level: wrong, file: meta, line: 18, section: "2.2.2"},
	{name: "2.3-location-missing", in: meta, old: "\n      <location>occurrence.csv</location>", rule: "meta-location-missing", level: wrong, file: meta, line: 4, section: "2.3"},
	{name: "2.3-location-twice", in: meta, old: "<location>occurrence.csv</location>", new: "<location>occurrence.csv</location><location>./occurrence.csv</location>", rule: "meta-location-twice", level: wrong, file: meta, line: 5, section: "2.3"},
	{name: "2.3.1-file-missing", in: meta, old: "<location>occurrence.csv", new: "<location>occurrences.csv", rule: "location-missing", level: wrong, file: meta, line: 5, section: "2.3.1"},
	{name: "2.4-term-twice", in: meta, old: dwc + "eventDate", new: dwc + "scientificName", rule: "meta-term-twice", level: wrong, file: meta, line: 11, section: "2.4"},
	{name: "2.4.1-term-no-uri", in: meta, old: dwc + "eventDate", new: "eventDate", rule: "meta-term-uri", level: wrong, file: meta, line: 11, section: "2.4.1"},
	{name: "2.4.1-term-missing", in: meta, old: ` term="` + dwc + `eventDate"`, rule: "meta-term-missing", level: wrong, file: meta, line: 11, section: "2.4.1"},
	{name: "2.4.1-term-unknown", in: meta, old: dwc + "eventDate", new: dwc + "eventdate", rule: "term-unknown", level: wrong, file: meta, line: 11, section: "2.4.1"},
	{name: "2.4.1-term-deprecated", in: meta, old: dwc + "eventDate", new: dwc + "EarliestDateCollected", rule: "term-deprecated", level: warning, file: meta, line: 11, section: "2.4.1"},
	{name: "2.4.1-term-class", in: meta, old: dwc + "recordedBy", new: dwc + "measurementDeterminedBy", rule: "term-wrong-class", level: warning, file: meta, line: 15, section: "2.4.1"},
	{name: "2.4.1-index-no-number", in: meta, old: `<field index="3"`, new: `<field index="D"`, rule: "meta-index", level: wrong, file: meta, line: 11, section: "2.4.1"},
	{name: "2.4.1-index-beyond", in: meta, old: `<field index="7"`, new: `<field index="8"`, rule: "column-missing", level: wrong, file: core, line: 1, section: "2.4.1"},
	{name: "2.4.1-field-empty", in: meta, old: ` default="present"`, rule: "meta-field-empty", level: wrong, file: meta, line: 16, section: "2.4.1"},
	{name: "2.4.1-vocabulary-no-uri", in: meta, old: ` default="present"`, new: ` default="present" vocabulary="ours"`, rule: "meta-vocabulary-uri", level: wrong, file: meta, line: 16, section: "2.4.1"},
	{name: "2.4.1-columns-swapped", in: core, old: "decimalLatitude,decimalLongitude", new: "decimalLongitude,decimalLatitude", rule: "header-differs", level: warning, file: core, line: 1, section: "2.4.1"},
}

func swapEntities(files map[string]string) {
	s := files[meta]
	a, b, c := strings.Index(s, "  <core"), strings.Index(s, "  <extension"), strings.Index(s, "</archive>")
	files[meta] = s[:a] + s[b:c] + s[a:b] + s[c:]
}

func twoCores(files map[string]string) {
	s := files[meta]
	a, b := strings.Index(s, "  <core"), strings.Index(s, "  <extension")
	files[meta] = s[:b] + s[a:]
}

func noCore(files map[string]string) {
	s := files[meta]
	a, b := strings.Index(s, "  <core"), strings.Index(s, "  <extension")
	files[meta] = s[:a] + s[b:]
}

func noFields(files map[string]string) {
	s := files[meta]
	a, b := strings.LastIndex(s, `    <field index="1"`), strings.Index(s, "  </extension")
	files[meta] = s[:a] + s[b:]
}
