package quality

import (
	"strings"
)

// Record returns the value of a term by its bare name ("day", "license", "type"),
// or "" where the record has none. Parameters that travel with a record keep
// their prefix ("bdqval:earliestValidDate").
type Record func(term string) string

// Columns prepares for rows under one heading line: the function that it gives
// makes a Record of a row. Headings are named as in [FromMap]; a row may be
// shorter than the headings. The Record reads the row, it does not copy it.
func Columns(headings []string) func(row []string) Record {
	at := make(map[string][]int, len(headings))
	for i, heading := range headings {
		key := bare(strings.TrimPrefix(heading, "\ufeff"))
		at[key] = append(at[key], i)
	}
	return func(row []string) Record {
		return func(term string) string {
			value := ""
			for _, i := range at[term] {
				if i < len(row) && Empty(value) {
					value = row[i]
				}
			}
			return value
		}
	}
}

var prefixes = []string{
	"dwc:", "dcterms:", "dc:",
	"http://rs.tdwg.org/dwc/terms/", "http://purl.org/dc/terms/", "http://purl.org/dc/elements/1.1/",
}

func bare(name string) string {
	name = strings.TrimSpace(name)
	for _, prefix := range prefixes {
		if local, ok := strings.CutPrefix(name, prefix); ok {
			return local
		}
	}
	return name
}

// Empty reports whether a value is empty in the sense of the standard: it holds
// no characters but those from U+0000 to U+0020.
func Empty(value string) bool {
	for i := 0; i < len(value); i++ {
		if value[i] > ' ' {
			return false
		}
	}
	return true
}

// has reports whether the record holds a value for the term.
func (r Record) has(term string) bool { return !Empty(r(term)) }
