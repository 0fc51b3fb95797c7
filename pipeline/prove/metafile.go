package prove

import (
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
)

const textSpace = "http://rs.tdwg.org/dwc/text/"

// metafile is what meta.xml says of an archive.
type metafile struct {
	metadata   string
	core       *entity
	extensions []*entity
}

// entity is the core or an extension: its files and what their columns mean.
type entity struct {
	core      bool
	line      int // of meta.xml; 0 if there is none
	rowType   string
	encoding  string
	separator string // between fields
	ending    string // of lines
	quote     string // around fields, "" for none
	skip      int    // lines before the first row
	dates     string // dateFormat, where it is not ISO 8601
	files     []located
	id        int   // column of the identifier, -1 if there is none
	partial   bool  // some of its rows cannot be read
	unclear   bool  // its class is not known
	own       *runs // identifiers of measurements, where they are looked at
	fields    []field
}

type located struct {
	name string
	line int
}

// field is a column, or a value that holds for every row.
type field struct {
	index      int // column, -1 for none
	iri        string
	def        string
	hasDefault bool
	line       int
}

// metaReader reads one metafile and notes what is wrong with it.
type metaReader struct {
	file  string
	found *findings
	level func(rule string) record.Level
}

func (m *metaReader) wrong(rule string, row int, section, field, value, reason string) {
	m.found.add(record.Finding{Rule: rule, Level: m.level(rule), At: line(m.file, row), Field: field, Value: value,
		Reason: reason, Reference: guide + section})
}

// read turns the tree into a metafile. It returns nil where there is no core to
// go on with.
func (m *metaReader) read(root *element) *metafile {
	if root.name.Local != "archive" || root.name.Space != textSpace {
		m.wrong("meta-not-archive", root.line, "2.1", "", root.name.Local, "the root element must be <archive> in the namespace "+textSpace)
		return nil
	}
	var out metafile
	m.metadata(root, &out)
	cores := root.all("core")
	if len(cores) != 1 {
		row := root.line
		if len(cores) > 1 {
			row = cores[1].line
		}
		m.wrong("meta-core-count", row, "2.1.2", "core", strconv.Itoa(len(cores)), "an archive must have exactly one <core>")
		if len(cores) == 0 {
			return nil
		}
	}
	extensions := root.all("extension")
	out.core = m.entity(cores[0], true)
	for _, e := range extensions {
		out.extensions = append(out.extensions, m.entity(e, false))
	}
	if len(extensions) > 0 && len(cores[0].all("id")) == 0 {
		m.wrong("meta-id-missing", cores[0].line, "2.1.2", "id", "", "if there are extensions, <core> must name the column of its identifiers with <id>")
	}
	return &out
}

func (m *metaReader) metadata(root *element, out *metafile) {
	v, ok := root.attr("metadata")
	switch {
	case !ok:
		m.wrong("meta-metadata-unnamed", root.line, "2.1", "metadata", "", "<archive> should name the description of the dataset in its attribute metadata")
	case !validReference(v):
		m.wrong("meta-metadata-url", root.line, "2.1.1", "metadata", v, "metadata must be a URL, absolute or relative to meta.xml")
	default:
		out.metadata = v
	}
}

func (m *metaReader) entity(e *element, core bool) *entity {
	out := &entity{core: core, line: e.line, id: -1}
	m.attributes(e, out)
	files := e.all("files")
	if len(files) != 1 {
		m.wrong("meta-files-count", e.line, "2.2.2", "files", strconv.Itoa(len(files)), "<"+e.name.Local+"> must have exactly one <files>")
	}
	for _, f := range files[:min(len(files), 1)] {
		m.locations(f, out)
	}
	out.partial = out.partial || len(out.files) == 0
	m.identifier(e, out)
	fields := e.all("field")
	if len(fields) == 0 {
		m.wrong("meta-field-missing", e.line, "2.2.2", "field", "", "<"+e.name.Local+"> needs a <field> for every column")
	}
	for _, f := range fields {
		m.field(f, out)
	}
	return out
}

func (m *metaReader) locations(files *element, out *entity) {
	all := files.all("location")
	if len(all) == 0 {
		m.wrong("meta-location-missing", files.line, "2.3", "location", "", "<files> needs a <location> for every file")
	}
	for _, l := range all {
		name := l.text()
		why := locationFault(name)
		if why != "" {
			m.wrong("meta-location-form", l.line, "2.3.1", "location", name, why)
			out.partial = true
			continue
		}
		if slices.ContainsFunc(out.files, func(o located) bool { return o.name == cleanName(name) }) {
			m.wrong("meta-location-twice", l.line, "2.3", "location", name, "the file is named twice; every distinct file has one <location>")
			continue
		}
		out.files = append(out.files, located{cleanName(name), l.line})
	}
}

func (m *metaReader) identifier(e *element, out *entity) {
	name, other := "coreid", "id"
	if out.core {
		name, other = "id", "coreid"
	}
	if wrong := e.all(other); len(wrong) > 0 {
		m.wrong("meta-id-place", wrong[0].line, "2.2.2", other, "", "<"+e.name.Local+"> takes <"+name+">, not <"+other+">")
	}
	ids := e.all(name)
	switch {
	case len(ids) == 0 && !out.core:
		m.wrong("meta-coreid-missing", e.line, "2.1.2", name, "", "<extension> must name the column that points at the core with <coreid>")
		return
	case len(ids) == 0:
		return
	case len(ids) > 1:
		m.wrong("meta-id-twice", ids[1].line, "2.2.2", name, "", "there is more than one <"+name+">")
	}
	v, ok := ids[0].attr("index")
	n, err := strconv.Atoi(strings.TrimSpace(v))
	if !ok || err != nil || n < 0 {
		m.wrong("meta-index", ids[0].line, "2.4.1", name, v, "index must be a column number, 0 or more")
		return
	}
	out.id = n
}

func (m *metaReader) field(f *element, out *entity) {
	v := field{index: -1, line: f.line}
	v.def, v.hasDefault = f.attr("default")
	term, ok := f.attr("term")
	v.iri = strings.TrimSpace(term)
	switch {
	case !ok || v.iri == "":
		m.wrong("meta-term-missing", f.line, "2.4.1", "term", "", "a <field> needs the address of its term")
		return
	case !absoluteURI(v.iri), abbreviated(v.iri):
		m.wrong("meta-term-uri", f.line, "2.4.1", "term", v.iri, "term must be an address such as http://rs.tdwg.org/dwc/terms/scientificName")
	}
	if s, ok := f.attr("index"); ok {
		n, err := strconv.Atoi(strings.TrimSpace(s))
		if err != nil || n < 0 {
			m.wrong("meta-index", f.line, "2.4.1", "index", s, "index must be a column number, 0 or more")
			return
		}
		v.index = n
	} else if !v.hasDefault {
		m.wrong("meta-field-empty", f.line, "2.4.1", v.iri, "", "a <field> needs an index or a default value")
	}
	if s, ok := f.attr("vocabulary"); ok && !absoluteURI(s) {
		m.wrong("meta-vocabulary-uri", f.line, "2.4.1", "vocabulary", s, "vocabulary must be an address")
	}
	if i := slices.IndexFunc(out.fields, func(o field) bool { return o.iri == v.iri }); i >= 0 {
		m.wrong("meta-term-twice", f.line, "2.4", "term", v.iri, "the term already has a <field>, at line "+strconv.Itoa(out.fields[i].line))
		return
	}
	out.fields = append(out.fields, v)
}

// abbreviated reports whether an address is cut short by a prefix.
func abbreviated(iri string) bool {
	prefix, _, _ := strings.Cut(iri, ":")
	return slices.Contains([]string{"dwc", "dwciri", "dcterms", "dc", "ac", "xmp"}, prefix)
}
