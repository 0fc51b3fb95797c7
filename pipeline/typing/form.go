package typing

import (
	"fmt"
	"maps"
	"path"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/forms"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/survey"
)

// Form is what is typed into, from one mapping of the survey.
type Form struct {
	Name    string         // of the mapping
	File    string         // that the rows are kept in, within the survey folder
	Mapping string         // file of the mapping that reads it
	Text    []byte         // that mapping
	Entry   []string       // lines for the list of sheets in survey.yaml
	Listed  bool           // survey.yaml has the file already
	Columns []forms.Column // of the file, the identifier of the row last

	Sheet int // index among the sheets of the survey
	Table record.Table
}

// Headings are the first line of the file.
func (f *Form) Headings() []string {
	out := make([]string, len(f.Columns))
	for i := range f.Columns {
		out[i] = f.Columns[i].Heading
	}
	return out
}

// Column is the index of the column with a heading, -1 for none.
func (f *Form) Column(heading string) int {
	return slices.IndexFunc(f.Columns, func(c forms.Column) bool { return c.Heading == heading })
}

// EntryLines is the entry of a file of typed rows in survey.yaml.
func (f *Form) EntryLines(defaults map[string]any) []string {
	lines := []string{"- file: " + f.File, "  mapping: " + f.Mapping, "  layout: {headingRow: 1, headingRows: 1}"}
	if len(defaults) > 0 {
		lines = append(lines, "  defaults:")
		for _, term := range slices.Sorted(maps.Keys(defaults)) {
			lines = append(lines, "    "+term+": "+strconv.Quote(fmt.Sprint(defaults[term])))
		}
	}
	return lines
}

// BaseName makes the name of a file from the name of a mapping.
func BaseName(name string) string {
	base := survey.Slug(strings.TrimSuffix(strings.TrimSuffix(path.Base(name), ".yaml"), ".yml"))
	if base == "survey" || base == "" {
		return "captures"
	}
	return base
}
