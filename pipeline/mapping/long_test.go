package mapping

import (
	"strings"
	"testing"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// longTable has a row for each measurement, and rows that say what the animal is.
// With blanks the animal and its day are in its first row only.
func longTable(names []string, blanks bool) record.Table {
	values := map[string][]string{"Sex": {"M", "F"}, "Species": {"Rana temporaria", "Bufo bufo"}, "SVL (mm)": {"51.3", "62"}, "Mass (g)": {"14", "22.5"}, "Colour": {"brown", "green"}}
	return tableOf("long.csv", []string{"Frog", "Date", "Trait", "Value"},
		func(r int) string {
			if blanks && r%len(names) > 0 {
				return ""
			}
			return "F" + string(rune('A'+r/len(names)))
		},
		func(r int) string {
			if blanks && r%len(names) > 0 {
				return ""
			}
			return "2022-05-0" + string(rune('1'+r/len(names)))
		},
		func(r int) string { return names[r%len(names)] },
		func(r int) string { return values[names[r%len(names)]][r/len(names)%2] })
}

// TestLongTables holds the draft of long tables: what is measured, what is said of
// the animal, and which blanks mean "as above".
func TestLongTables(t *testing.T) {
	for _, c := range []struct {
		names  []string
		blanks bool
		key    string
		words  map[string]string
	}{
		{[]string{"Species", "Sex", "SVL (mm)", "Mass (g)", "Colour"}, true, "organismID", map[string]string{"Species": "scientificName", "Sex": "sex"}},
		{[]string{"Species", "Sex", "SVL (mm)", "Mass (g)", "Colour"}, false, "organismID", map[string]string{"Species": "scientificName", "Sex": "sex"}},
		{[]string{"SVL (mm)", "Mass (g)"}, false, "organismID", nil},
	} {
		tables := []record.Table{longTable(c.names, c.blanks)}
		d := Propose("long", tables, repeatableTerms)
		if strings.Join(d.Key, " ") != c.key {
			t.Errorf("%q: key %q, want %q", c.names, d.Key, c.key)
		}
		table := clone(tables[0])
		if _, err := Apply(d.mapping(), &table, Known{HeadingParts: quantity.HeadingUnit}); err != nil {
			t.Fatal(err)
		}
		for r, row := range table.Rows {
			if row.Cells[0].Empty() || row.Cells[1].Empty() {
				t.Errorf("%q, row %d: the blank was not taken for the animal above", c.names, r)
			}
		}
		for called, term := range c.words {
			texts := termTexts(&table, term)
			for r, row := range tables[0].Rows {
				want := ""
				if row.Cells[2].Text == called {
					want = row.Cells[3].Text
				}
				if texts[r] != want || want != "" && !table.Rows[r].Cells[3].Empty() {
					t.Errorf("%s, row %d: %q, want %q, and the column of values has %q", term, r, texts[r], want, table.Rows[r].Cells[3].Text)
				}
			}
		}
		if len(c.words) == 0 && len(table.Columns) != 4 {
			t.Errorf("%q: %d columns", c.names, len(table.Columns))
		}
	}
}
