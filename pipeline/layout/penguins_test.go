package layout_test

import (
	"testing"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/record/need"
	"spadefoot/pipeline/sheet"
)

// TestPenguinsAreOnePlainTable reads the open penguin data (Gorman, Williams
// and Fraser 2014, CC0: 344 rows): long words, NA in many columns, values that
// stand many times in a row. Nothing of it may be taken for anything but a row.
func TestPenguinsAreOnePlainTable(t *testing.T) {
	sheets, _, err := sheet.Read("penguins_raw.csv", need.Shared(t, "opendata/penguins_raw.csv"), sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for name, known := range map[string]func(string) bool{"draft": nil, "another mapping": station, "empty mapping": unknown} {
		tables, findings := layout.Find(sheets[0], layout.Options{IsHeading: known})
		if len(tables) != 1 || len(tables[0].Rows) != 344 || len(tables[0].Columns) != 17 || len(findings) != 0 {
			t.Errorf("%s: %d tables, %d findings: %s", name, len(tables), len(findings), draw(nil, findings))
		}
	}
}
