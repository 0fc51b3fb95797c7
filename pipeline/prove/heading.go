package prove

import (
	"bufio"
	"strings"

	"spadefoot/pipeline/darwincore/terms"
)

// separators are those that text files have.
var separators = []string{",", "\t", ";", "|"}

// separator looks at the first line of a file for a separator other than the
// one declared. Where the one declared is nowhere in it and another parts
// as many fields as are asked for, that is one fault, and the file is read with
// the other.
func (t *table) separator(text *bufio.Reader) {
	widest := t.entity.id
	for _, c := range t.cols {
		widest = max(widest, c.index)
	}
	head, _ := text.Peek(1 << 12)
	first, _, _ := strings.Cut(strings.ReplaceAll(string(head), "\r", "\n"), "\n")
	if widest < 1 || t.entity.skip > 1 || strings.Contains(first, t.entity.separator) {
		return
	}
	for _, s := range separators {
		if strings.Count(first, s) >= widest {
			t.add("separator-differs", line(t.name, 1), "fieldsTerminatedBy", visible(s), "fields are separated by "+visible(s)+", and "+visible(t.entity.separator)+" is declared", guide+"2.2.1")
			t.entity.separator = s
			return
		}
	}
}

// isData reports whether the cells of what is said to be a heading are values of
// the columns: no cell names its column, and every cell of a column with values
// of a certain kind is of that kind.
func (t *table) isData(cells []string) bool {
	kinds := 0
	for _, c := range t.cols {
		if c.index < 0 || c.index >= len(cells) || cells[c.index] == "" {
			continue
		}
		h := strings.TrimSpace(cells[c.index])
		if t, known := terms.Lookup(h); known && t.Kind == "property" || strings.EqualFold(h, c.name) {
			return false
		}
		if c.check.full == nil {
			continue
		}
		if c.check.full(h) != nil {
			return false
		}
		kinds++
	}
	return kinds > 0
}

// isHeading reports whether the cells of a first row are names of columns.
func (t *table) isHeading(cells []string) bool {
	named := 0
	for _, c := range t.cols {
		if c.index >= 0 && c.index < len(cells) && localName(strings.TrimSpace(cells[c.index])) == c.name {
			named++
		}
	}
	return named > 1 || named == 1 && len(t.cols) == 1
}
