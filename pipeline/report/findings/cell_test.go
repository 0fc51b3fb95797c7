package findings

import (
	"encoding/csv"
	"strings"
	"testing"
	"unicode/utf8"

	"spadefoot/pipeline/record"
)

// The bound is that of spreadsheet programs: 32,767 characters in a cell.
func TestNoCellOfTheFindingsIsTooLongForASpreadsheet(t *testing.T) {
	f := record.Finding{Rule: "number-unread", Level: record.Error, At: record.Address{File: "frogs.csv", Row: 1, Column: 4},
		Value: strings.Repeat("ü", 20_000) + strings.Repeat("x", 20_000), Reason: "unread"}
	for i := range 50_000 {
		f.Also = append(f.Also, record.Address{File: "frogs.csv", Row: 2 + 2*i, Column: 4})
	}
	var out strings.Builder
	if err := CSV(&out, []record.Finding{f}); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(out.String())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, cell := range rows[1] {
		if n := utf8.RuneCountInString(cell); n >= 32_767 || !utf8.ValidString(cell) {
			t.Errorf("%s has %d characters", rows[0][i], n)
		}
	}
	if also := rows[1][13]; !strings.Contains(also, " more") {
		t.Errorf("nothing says what is left out: …%s", also[len(also)-60:])
	}
}
