package prove

import (
	"net/url"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/darwincore/terms"
)

// dateFormats are combinations of year, month and day.
var dateFormats = regexp.MustCompile(`^(?:(?:YYYY([-/]?)MM[-/]?DD)|(?:DD[-/]?MM[-/]?YYYY)|(?:MM[-/]?DD[-/]?YYYY)|YYYY|YYYY[-/]?MM|MM[-/]?YYYY)$`)

// attributes reads how the files of an entity are written.
func (m *metaReader) attributes(e *element, out *entity) {
	v, ok := e.attr("rowType")
	out.rowType = strings.TrimSpace(v)
	switch t, known := terms.Lookup(out.rowType); {
	case !ok || out.rowType == "":
		m.wrong("meta-rowtype-missing", e.line, "2.2.1", "rowType", "", "rowType must name the class of the rows")
	case !absoluteURI(out.rowType):
		m.wrong("meta-rowtype-uri", e.line, "2.2.1", "rowType", out.rowType, "rowType must be the address of a class")
	case known && t.Kind != "class":
		out.unclear = true
		m.wrong("meta-rowtype-class", e.line, "2.2.1", "rowType", out.rowType, t.Name+" is a term for a column, not a class of rows")
	case known && !t.Current():
		m.wrong("meta-rowtype-deprecated", e.line, "2.2.1", "rowType", out.rowType, "the class is deprecated"+inPlace(t))
	case !known && strings.HasPrefix(out.rowType, dwcSpace) && !special[out.rowType]:
		out.unclear = true
		m.wrong("meta-rowtype-unknown", e.line, "2.2.1", "rowType", out.rowType, "Darwin Core has no such class")
	}
	out.encoding = valueOr(e, "encoding", "UTF-8")
	if _, err := encodingOf(out.encoding); err != nil {
		m.wrong("meta-encoding", e.line, "2.2.1", "encoding", out.encoding, "this encoding is not known")
		out.encoding = "UTF-8"
	}
	m.delimiters(e, out)
	if s, ok := e.attr("ignoreHeaderLines"); ok {
		n, err := strconv.Atoi(strings.TrimSpace(s))
		if err != nil || n < 0 {
			m.wrong("meta-header-lines", e.line, "2.2.1", "ignoreHeaderLines", s, "ignoreHeaderLines must be a number, 0 or more")
			n = 1
		}
		out.skip = n
	}
	s, ok := e.attr("dateFormat")
	switch {
	case !ok || s == "YYYY-MM-DD":
	case dateFormats.MatchString(s):
		out.dates = s
	default:
		m.wrong("meta-date-format", e.line, "2.2.1", "dateFormat", s, "dateFormat is made of YYYY, MM and DD, with / or - between them")
	}
}

func (m *metaReader) delimiters(e *element, out *entity) {
	out.separator = unescape(valueOr(e, "fieldsTerminatedBy", ","))
	out.ending = unescape(valueOr(e, "linesTerminatedBy", "\\n"))
	out.quote = unescape(valueOr(e, "fieldsEnclosedBy", `"`))
	if out.separator == "" {
		m.wrong("meta-separator", e.line, "2.2.1", "fieldsTerminatedBy", "", "there must be a character between fields")
		out.separator = ","
	}
	if out.ending == "" {
		m.wrong("meta-line-end", e.line, "2.2.1", "linesTerminatedBy", "", "there must be a character at the end of lines")
		out.ending = "\n"
	}
	if len([]rune(out.quote)) > 1 {
		m.wrong("meta-quote", e.line, "2.2.1", "fieldsEnclosedBy", out.quote, "fieldsEnclosedBy must be a single character")
		out.quote = `"`
	}
	switch {
	case strings.Contains(out.separator, "\n"), strings.Contains(out.separator, out.ending):
		m.wrong("meta-separator", e.line, "2.2.1", "fieldsTerminatedBy", out.separator, "fields and lines cannot end with the same character")
		out.separator = ","
	case out.quote != "" && (strings.Contains(out.separator, out.quote) || strings.Contains(out.ending, out.quote)):
		m.wrong("meta-quote", e.line, "2.2.1", "fieldsEnclosedBy", out.quote, "the enclosing character cannot also end fields or lines")
		out.quote = ""
	}
}

// special are row types that the guide itself uses beside the classes of the
// list of terms.
var special = map[string]bool{"http://rs.tdwg.org/dwc/xsd/simpledarwincore/SimpleDarwinRecord": true}

const dwcSpace = "http://rs.tdwg.org/dwc/"

func inPlace(t terms.Term) string {
	if len(t.ReplacedBy) == 0 {
		return ", and nothing replaces it"
	}
	return "; it was replaced by " + strings.Join(t.ReplacedBy, " or ")
}

func valueOr(e *element, name, otherwise string) string {
	if v, ok := e.attr(name); ok {
		return v
	}
	return otherwise
}

// unescape reads the ways in which metafiles write characters that cannot be
// seen.
func unescape(s string) string {
	return strings.NewReplacer(`\t`, "\t", `\n`, "\n", `\r`, "\r", `\\`, `\`, `\"`, `"`, `\'`, `'`).Replace(s)
}

func absoluteURI(s string) bool {
	u, err := url.Parse(s)
	return err == nil && u.Scheme != "" && (u.Host != "" || u.Opaque != "") && !strings.ContainsAny(s, " \t\n<>\"{}|\\^`")
}

func validReference(s string) bool {
	_, err := url.Parse(s)
	return err == nil && s != "" && !strings.ContainsAny(s, " \t\n<>\"{}|\\^`")
}

// locationFault says why a location has neither of the two forms that the
// guide allows, or "".
func locationFault(name string) string {
	switch {
	case name == "":
		return "the location is empty"
	case remote(name):
		if u, err := url.Parse(name); err != nil || u.Host == "" {
			return "the address is malformed"
		}
		return ""
	case strings.Contains(name, "\\"):
		return "a path must use forward slashes"
	case strings.HasPrefix(name, "/"), len(name) > 1 && name[1] == ':':
		return "a path must be relative to meta.xml"
	case strings.Contains(name, "://"):
		return "an address must begin with http, https or ftp"
	case cleanName(name) == "." || cleanName(name) == ".." || strings.HasPrefix(cleanName(name), "../"):
		return "the path leads outside the archive"
	}
	return ""
}

func remote(name string) bool {
	scheme, _, ok := strings.Cut(strings.ToLower(name), "://")
	return ok && slices.Contains([]string{"http", "https", "ftp"}, scheme)
}

func cleanName(name string) string {
	if remote(name) {
		return name
	}
	return path.Clean(name)
}

var digitsOf = strings.NewReplacer("YYYY", `\d{4}`, "MM", `(?:0[1-9]|1[0-2])`, "DD", `(?:0[1-9]|[12]\d|3[01])`)

// inFormat reports whether a text has the form that dateFormat declares.
func inFormat(text, format string) bool {
	if format == "" {
		return false
	}
	form, err := regexp.Compile("^" + digitsOf.Replace(format) + "$")
	return err == nil && form.MatchString(text)
}
