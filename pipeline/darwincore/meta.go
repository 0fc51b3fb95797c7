package darwincore

import (
	"encoding/xml"
	"io"
	"slices"

	"spadefoot/pipeline/darwincore/terms"
)

// Row types of the files of our archives.
const (
	eventType       = "http://rs.tdwg.org/dwc/terms/Event"
	occurrenceType  = "http://rs.tdwg.org/dwc/terms/Occurrence"
	measurementType = "http://rs.tdwg.org/dwc/terms/MeasurementOrFact"
	mediaType       = "http://rs.tdwg.org/ac/terms/Media"
)

type metaArchive struct {
	XMLName    xml.Name   `xml:"http://rs.tdwg.org/dwc/text/ archive"`
	Metadata   string     `xml:"metadata,attr"`
	Core       metaFile   `xml:"core"`
	Extensions []metaFile `xml:"extension"`
}

type metaFile struct {
	Encoding   string      `xml:"encoding,attr"`
	Fields     string      `xml:"fieldsTerminatedBy,attr"`
	Lines      string      `xml:"linesTerminatedBy,attr"`
	Enclosed   string      `xml:"fieldsEnclosedBy,attr"`
	Header     int         `xml:"ignoreHeaderLines,attr"`
	RowType    string      `xml:"rowType,attr"`
	Locations  []string    `xml:"files>location"`
	ID         *metaIndex  `xml:"id"`
	CoreID     *metaIndex  `xml:"coreid"`
	FieldTerms []metaField `xml:"field"`
}

type metaIndex struct {
	Index int `xml:"index,attr"`
}

// metaField is a column, or without an index a text that every row says.
type metaField struct {
	Index   *int   `xml:"index,attr"`
	Term    string `xml:"term,attr"`
	Default string `xml:"default,attr,omitempty"`
}

// part is the rows of one kind in an archive: the files that they are in,
// their columns, and what every row says that has no column.
type part struct {
	names   []string
	rowType string
	columns []string
	fixed   []Field
}

// writeMeta writes meta.xml for a core and its extensions, which have the
// identifier of the core's rows in the column link.
func writeMeta(w io.Writer, link string, core part, extensions []part) error {
	m := metaArchive{Metadata: EMLFile, Core: describeFile(core)}
	m.Core.ID = &metaIndex{slices.Index(core.columns, link)}
	for _, p := range extensions {
		e, at := describeFile(p), slices.Index(p.columns, link)
		e.CoreID = &metaIndex{at}
		e.FieldTerms = slices.Delete(e.FieldTerms, at, at+1) // the coreid is not a term of this class
		m.Extensions = append(m.Extensions, e)
	}
	return writeXML(w, m)
}

// otherTerms are the addresses of the terms of media and measurements that are
// not Darwin Core's own (Audiovisual Core, Dublin Core, the extended measurements
// of the Ocean Biodiversity Information System, common practice).
var otherTerms = map[string]string{
	"identifier":              "http://purl.org/dc/terms/identifier",
	"creator":                 "http://purl.org/dc/terms/creator",
	"license":                 "http://purl.org/dc/terms/license",
	"format":                  "http://purl.org/dc/elements/1.1/format",
	"accessURI":               "http://rs.tdwg.org/ac/terms/accessURI",
	"providerManagedID":       "http://rs.tdwg.org/ac/terms/providerManagedID",
	"measurementTypeID":       "http://rs.iobis.org/obis/terms/measurementTypeID",
	"measurementUnitID":       "http://rs.iobis.org/obis/terms/measurementUnitID",
	"metadataLanguageLiteral": "http://rs.tdwg.org/ac/terms/metadataLanguageLiteral",
}

func describeFile(p part) metaFile {
	f := metaFile{Encoding: "UTF-8", Fields: ",", Lines: `\n`, Enclosed: `"`, Header: 1, RowType: p.rowType, Locations: p.names}
	for i, c := range p.columns {
		f.FieldTerms = append(f.FieldTerms, metaField{Index: &i, Term: address(c)})
	}
	for _, c := range p.fixed {
		f.FieldTerms = append(f.FieldTerms, metaField{Term: address(c.Term), Default: c.Text})
	}
	return f
}

// address is the address of a term.
func address(term string) string {
	if iri := otherTerms[term]; iri != "" {
		return iri
	}
	t, _ := terms.Lookup(term)
	return t.IRI
}

func writeXML(w io.Writer, v any) error {
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	e := xml.NewEncoder(w)
	e.Indent("", "  ")
	if err := e.Encode(v); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}
