package mapping

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// Spread turns the labels of a table and of its sections into columns of their
// own, so that "Site: Tern Slough" above a table is mapped like any heading.
// Each cell keeps the place where the label stands. A later label of the same
// name wins, as a section wins over what is above the table. Lines without a
// name are passed over, unless they name an animal and nothing else. The cells of
// the rows are copied, never changed.
func Spread(t *record.Table) {
	disputed(t)
	t.Labels = slices.Clone(t.Labels)
	nameTitles(t)
	for i := range t.Labels {
		if l := &t.Labels[i]; strings.HasPrefix(l.Name, Title) && !namesAnimal(l.Cell.Text) {
			l.Name = ""
		}
	}
	spread(t)
}

// spread returns the places of the labels behind the columns, by their key.
func spread(t *record.Table) map[string]int {
	own := len(t.Columns)
	at := map[string]int{}
	add := func(labels []record.Label) {
		for _, l := range labels {
			k := labelKey(l.Name)
			if _, ok := at[k]; !ok && k != "" {
				at[k] = len(t.Columns) - own
				t.Columns = append(t.Columns, record.Column{Heading: l.Name, Parts: []string{l.Name}, Number: l.Cell.Column})
			}
		}
	}
	eachLabels(t, add)
	n := len(t.Columns) - own
	if n == 0 {
		return at
	}
	put := func(cells []record.Cell, labels []record.Label) { putLabels(at, cells, labels) }
	above := make([]record.Cell, n)
	put(above, t.Labels)
	cells := above
	for r := range t.Rows {
		row := &t.Rows[r]
		if r == 0 || !sameLabels(row.Labels, t.Rows[r-1].Labels) {
			cells = slices.Clone(above)
			put(cells, row.Labels)
		}
		row.Cells = append(append(make([]record.Cell, 0, own+n), row.Cells...), cells...)
	}
	return at
}

// Labels is the number of columns that the labels of a table and of its sections
// come to.
func Labels(t *record.Table) int {
	names := map[string]bool{}
	eachLabels(t, func(labels []record.Label) {
		for _, l := range labels {
			if k := labelKey(l.Name); k != "" {
				names[k] = true
			}
		}
	})
	n := len(names)
	for _, l := range t.Labels {
		if labelKey(l.Name) == "" {
			n++ // each has a name of its own by its number
		}
	}
	return n
}

// eachLabels hands over the labels above a table, then those of each section.
func eachLabels(t *record.Table, do func([]record.Label)) {
	do(t.Labels)
	for r := range t.Rows {
		if r == 0 || !sameLabels(t.Rows[r].Labels, t.Rows[r-1].Labels) {
			do(t.Rows[r].Labels)
		}
	}
}

// Title is the name of the first line above a table that has none; further ones
// are numbered.
const Title = "title"

// nameTitles names the lines above a table that have no name, so that a mapping
// may give them a meaning and what they say stays with the rows.
func nameTitles(t *record.Table) {
	n := 0
	for i := range t.Labels {
		if l := &t.Labels[i]; labelKey(l.Name) == "" && !l.Cell.Empty() {
			if n++; n == 1 {
				l.Name = Title
			} else {
				l.Name = fmt.Sprintf("%s %d", Title, n)
			}
		}
	}
}

// putLabels puts the cells of labels into their places.
func putLabels(at map[string]int, cells []record.Cell, labels []record.Label) {
	for _, l := range labels {
		if k := labelKey(l.Name); k != "" {
			cells[at[k]] = l.Cell
			cells[at[k]].Carried = true
		}
	}
}

// labelKey is what labels of one name have in common, and "" for a title.
func labelKey(name string) string {
	if k := Fold(name); k != "" {
		return k
	}
	return strings.TrimSpace(name)
}

// sameLabels reports whether two rows share one list of labels, as the rows of
// a section do.
func sameLabels(a, b []record.Label) bool {
	return len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0])
}

// disputed takes the names off labels that are above a table with one name and
// different values, since nothing says which of them holds: they stay as lines
// without a name. What survey.yaml states wins over what is in the sheet.
func disputed(t *record.Table) []record.Finding {
	said := map[string][]int{}
	for i, l := range t.Labels {
		if k := labelKey(l.Name); k != "" {
			said[k] = append(said[k], i)
		}
	}
	var fs []record.Finding
	for i := range t.Labels {
		all := said[labelKey(t.Labels[i].Name)]
		first, last := &t.Labels[i], &t.Labels[i]
		if len(all) < 2 || all[0] != i {
			continue
		}
		stated, same := false, true
		for _, k := range all {
			l := &t.Labels[k]
			stated = stated || l.Cell.Row == 0
			if strings.TrimSpace(l.Cell.Text) != strings.TrimSpace(first.Cell.Text) {
				same, last = false, l
			}
		}
		if stated || same {
			continue
		}
		fs = append(fs, record.Finding{Rule: "label-differs", Level: record.Warning, At: t.Address(last.Cell),
			Also: []record.Address{t.Address(first.Cell)}, Field: first.Name, Value: last.Cell.Text,
			Reason: fmt.Sprintf("%q appears above the table with %q and with %q; nothing says which is right, so neither was used", first.Name, first.Cell.Text, last.Cell.Text)})
		t.Labels = slices.Clone(t.Labels)
		for _, k := range all {
			t.Labels[k].Name = ""
		}
	}
	return fs
}

// yield lets a column take what a label says that means the same. A column of
// the sheet has its blanks filled. Of two labels the one of a section wins over
// the one above the table. What either says and the column does not take is kept
// under the name of the label.
func yield(t *record.Table, column, label int) {
	for r := range t.Rows {
		yieldIn(t, &t.Rows[r], column, label)
	}
	t.Columns[label].Meaning = record.Meaning{}
}

func yieldIn(t *record.Table, row *record.TableRow, column, label int) {
	c, l := row.Cells[column], row.Cells[label]
	if l.Empty() {
		return
	}
	fills := c.Empty() || inSection(row, &l) && (isOf(t.Labels, &c) || inSection(row, &c) && l.Row > c.Row)
	same := strings.TrimSpace(c.Text) == strings.TrimSpace(l.Text)
	if !fills && !same {
		return
	}
	row.Cells = slices.Clone(row.Cells)
	left := record.Cell{Row: l.Row, Column: l.Column}
	if fills {
		row.Cells[column] = l
		if !c.Empty() && !same {
			left = c
		}
	}
	row.Cells[label] = left
}

// inSection reports whether a cell is that of a section row above the row.
func inSection(row *record.TableRow, c *record.Cell) bool { return isOf(row.Labels, c) }

// isOf reports whether a cell is that of one of the labels.
func isOf(labels []record.Label, c *record.Cell) bool {
	return slices.ContainsFunc(labels, func(l record.Label) bool { return l.Cell.Row == c.Row && l.Cell.Column == c.Column })
}
