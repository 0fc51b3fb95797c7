package mapping

import (
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/record"
)

func label(name, text string, row, column int) record.Label {
	return record.Label{Name: name, Cell: record.Cell{Text: text, Kind: record.Text, Row: row, Column: column}}
}

// labelled is a table of two columns, No and Site, with labels of the table
// and of the sections that its rows are in.
func labelled(labels []record.Label, rows ...[]string) *record.Table {
	t := &record.Table{File: "f.csv", HeadingRows: []int{3}, Labels: labels,
		Columns: []record.Column{{Heading: "No.", Parts: []string{"No."}, Number: 1}, {Heading: "Site", Parts: []string{"Site"}, Number: 2}}}
	for i, r := range rows {
		row := record.TableRow{Number: i + 4}
		for k, text := range r[:2] {
			row.Cells = append(row.Cells, record.Cell{Text: text, Kind: record.Text, Row: i + 4, Column: k + 1})
		}
		switch {
		case i > 0 && slices.Equal(r[2:], rows[i-1][2:]):
			row.Labels = t.Rows[i-1].Labels
		default:
			for _, l := range r[2:] {
				name, text, _ := strings.Cut(l, ": ")
				row.Labels = append(row.Labels, label(name, text, 100+i, 1))
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

const places = `headings:
  - {heading: No., term: recordNumber}
  - {heading: Site, also: [Pond], term: locality, carryDown: true}
  - {heading: section, term: locality}
  - {heading: Sex, term: sex, carryDown: false}
  - {heading: SVL, measurement: snoutVentLength, unit: mm}
  - {heading: Tib 1, measurement: tibiaLength, replicate: 1}
  - {heading: Observer, term: recordedBy}
`

// termTexts lists what the rows say of a term, a row each, "|" between columns.
func termTexts(t *record.Table, term string) []string {
	var out []string
	for _, r := range t.Rows {
		var parts []string
		for k, c := range r.Cells {
			if m := t.Columns[k].Meaning; m.Role == record.Term && m.Term == term && !c.Empty() {
				parts = append(parts, c.Text)
			}
		}
		out = append(out, strings.Join(parts, "|"))
	}
	return out
}

func TestLabelsHoldForRows(t *testing.T) {
	for _, c := range []struct {
		name       string
		repeatable bool
		labels     []record.Label
		rows       [][]string
		want       []string
		findings   string
	}{
		{"a label fills what is blank", false, []record.Label{label("Site", "Mead", 1, 1)},
			[][]string{{"1", ""}, {"2", "Holm"}}, []string{"Mead", "Holm"}, "heading-shared"},
		{"a blank means as above before it means the label", false, []record.Label{label("Site", "Mead", 1, 1)},
			[][]string{{"1", ""}, {"2", "Holm"}, {"3", ""}}, []string{"Mead", "Holm", "Holm"}, "heading-shared"},
		{"a title fills no term", false, []record.Label{label("", "Mead", 1, 1), label(" ", "Mead", 2, 1)},
			[][]string{{"1", ""}}, []string{""}, ""},
		{"a section wins over the table", false, []record.Label{label("Site", "Mead", 1, 1)},
			[][]string{{"1", ""}, {"2", "", "Site: Holm"}, {"3", "", "Site: Tern"}}, []string{"Mead", "Holm", "Tern"}, ""},
		{"so it does under another name", false, []record.Label{label("Site", "Mead", 1, 1)},
			[][]string{{"1", ""}, {"2", "", "section: Holm"}}, []string{"Mead", "Holm"}, "heading-shared"},
		{"the later section wins", false, nil,
			[][]string{{"1", "", "section: Holm"}, {"2", "", "section: Tern"}}, []string{"Holm", "Tern"}, ""},
		{"labels of a term that lists stand beside each other", true, []record.Label{label("Site", "Mead", 1, 1)},
			[][]string{{"1", "", "section: north end"}}, []string{"Mead|north end"}, ""},
		{"a label of the column's own name fills it even so", true, []record.Label{label("site:", "Mead", 1, 1)},
			[][]string{{"1", "Holm"}, {"2", ""}}, []string{"Holm", "Holm"}, "heading-shared"},
		{"a label that says the same is no other", false, []record.Label{label("Site", "Holm", 1, 1)},
			[][]string{{"1", "Holm"}, {"2", "Holm"}}, []string{"Holm", "Holm"}, ""},
		{"two values for one name", false, []record.Label{label("Site", "Mead", 1, 1), label("Site", "Holm", 2, 1)},
			[][]string{{"1", ""}}, []string{""}, "label-differs"},
		{"a stated value is meant to win", false, []record.Label{label("Site", "Mead", 1, 1), label("Site", "Holm", 0, 0)},
			[][]string{{"1", ""}}, []string{"Holm"}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			m, err := parseAny(t, places)
			if err != nil {
				t.Fatal(err)
			}
			table := labelled(c.labels, c.rows...)
			known := Known{Repeatable: func(term string) bool { return c.repeatable && term == "locality" }}
			before := slices.Clone(table.Rows[0].Cells)
			shared := table.Rows[0].Cells
			fs, err := Apply(m, table, known)
			if err != nil {
				t.Fatal(err)
			}
			if got := termTexts(table, "locality"); !slices.Equal(got, c.want) {
				t.Errorf("%q, want %q", got, c.want)
			}
			codes := ""
			for _, f := range fs {
				codes += f.Rule
			}
			if codes != c.findings {
				t.Errorf("findings %q, want %q", codes, c.findings)
			}
			if !slices.Equal(shared, before) {
				t.Error("the cells of the row were changed in place")
			}
		})
	}
}

// What a label says, and what a line without a name says, is in a column of
// its own wherever no column takes it.
func TestNoLabelIsLost(t *testing.T) {
	m, err := parseAny(t, places)
	if err != nil {
		t.Fatal(err)
	}
	table := labelled([]record.Label{label("", "Pond survey", 1, 1), label("Site", "Mead", 2, 1), label("", "all swabbed", 3, 1)}, []string{"1", "Holm"}, []string{"2", "Tern"})
	if _, err := Apply(m, table, Known{}); err != nil {
		t.Fatal(err)
	}
	kept := map[string]string{}
	for k, c := range table.Columns {
		if c.Meaning.Role == record.Unmatched && !table.Rows[1].Cells[k].Empty() {
			kept[c.Heading] = table.Rows[1].Cells[k].Text
		}
	}
	if kept["title"] != "Pond survey" || kept["title 2"] != "all swabbed" || kept["Site"] != "Mead" {
		t.Errorf("%q", kept)
	}
}

func parseAny(t *testing.T, text string) (*Mapping, error) {
	t.Helper()
	doc, err := config.Parse("m.yaml", []byte("key: [recordNumber]\n"+text))
	if err != nil {
		t.Fatal(err)
	}
	return Parse(doc, Known{})
}

// TestSectionBesideLabelOfItsMeaning has no column of the sheet in between.
func TestSectionBesideLabelOfItsMeaning(t *testing.T) {
	m, err := parseAny(t, places)
	if err != nil {
		t.Fatal(err)
	}
	table := labelled([]record.Label{label("Pond", "Mead", 1, 1)}, []string{"1", ""}, []string{"2", "", "section: Holm"})
	table.Columns = table.Columns[:1]
	for i := range table.Rows {
		table.Rows[i].Cells = table.Rows[i].Cells[:1:1]
	}
	if _, err := Apply(m, table, Known{}); err != nil {
		t.Fatal(err)
	}
	if got := termTexts(table, "locality"); !slices.Equal(got, []string{"Mead", "Holm"}) {
		t.Errorf("%q", got)
	}
}

func TestUnmatchedLabelIsFoundAtItsCell(t *testing.T) {
	m, err := parseAny(t, places)
	if err != nil {
		t.Fatal(err)
	}
	table := labelled([]record.Label{label("Weather", "clear", 2, 5)}, []string{"1", "Mead", "Moon: full"})
	fs, err := Apply(m, table, Known{})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"f.csv, E2", "f.csv, A100"}
	var got []string
	for _, f := range fs {
		for _, at := range append([]record.Address{f.At}, f.Also...) {
			got = append(got, at.String())
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	last := table.Rows[0].Cells
	if last[2].Text != "clear" || !last[2].Carried || last[3].Text != "full" {
		t.Errorf("%+v", last)
	}
}

func TestNumbersUnderMergedHeadings(t *testing.T) {
	m, err := parseAny(t, places)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		heading   string
		parts     []string
		replicate int
		role      record.Role
	}{
		{"SVL 1", []string{"SVL", "1"}, 1, record.Measurement},
		{"SVL 2", []string{"", "2"}, 2, record.Measurement},
		{"SVL 3rd", []string{"", "3rd"}, 3, record.Measurement},
		{"SVL 2", []string{"SVL 2"}, 0, record.Unmatched},        // one heading: not known to be a replicate
		{"Sex 2", []string{"Sex", "2"}, 0, record.Unmatched},     // no measurement
		{"Tib 1 2", []string{"Tib 1", "2"}, 0, record.Unmatched}, // is a replicate already
		{"Lengths SVL", []string{"Lengths", "SVL"}, 0, record.Measurement},
	} {
		meaning, _, _ := m.findColumn(&record.Column{Heading: c.heading, Parts: c.parts}, Known{})
		if meaning.Role != c.role || meaning.Replicate != c.replicate {
			t.Errorf("%q %q: role %d, replicate %d", c.heading, c.parts, meaning.Role, meaning.Replicate)
		}
	}
}

func TestMatcherAndKeepsBlank(t *testing.T) {
	m, err := parseAny(t, places)
	if err != nil {
		t.Fatal(err)
	}
	is, keeps := m.Matcher(Known{}), m.KeepsBlank(Known{})
	for text, want := range map[string][2]bool{"Site": {true, false}, "pond": {true, false}, "SEX.": {true, true}, "Weather": {false, false}, "": {false, false}, "-": {false, false}} {
		if is(text) != want[0] || keeps(text) != want[1] {
			t.Errorf("%q: a heading %t, keeps blanks %t", text, is(text), keeps(text))
		}
	}
}
