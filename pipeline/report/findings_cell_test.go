package report

import (
	"encoding/csv"
	"strings"
	"testing"
	"unicode/utf8"

	"spadefoot/pipeline/record"
)

func TestCellsBesideEachOtherAreARange(t *testing.T) {
	at := func(row, column int) record.Address {
		return record.Address{File: "frogs.csv", Row: row, Column: column}
	}
	for _, c := range []struct {
		want  string
		cells []record.Address
	}{
		{"", nil},
		{"frogs.csv, D2", []record.Address{at(2, 4)}},
		{"frogs.csv, D2:D4", []record.Address{at(2, 4), at(3, 4), at(4, 4)}},
		{"frogs.csv, D2:E2; frogs.csv, D3", []record.Address{at(2, 4), at(2, 5), at(3, 4)}},
		{"frogs.csv, D2; frogs.csv, D4:D5", []record.Address{at(2, 4), at(4, 4), at(5, 4)}},
		{"frogs.csv, row 2; frogs.csv, row 3", []record.Address{at(2, 0), at(3, 0)}},
		{"frogs.csv, D2; toads.csv, D3", []record.Address{at(2, 4), {File: "toads.csv", Row: 3, Column: 4}}},
	} {
		if got := string(appendAddresses(nil, c.cells)); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

// The bound is that of spreadsheet programs: 32,767 characters in a cell.
func TestNoCellOfTheFindingsIsTooLongForASpreadsheet(t *testing.T) {
	f := record.Finding{Rule: "number-unread", Level: record.Error, At: record.Address{File: "frogs.csv", Row: 1, Column: 4},
		Value: strings.Repeat("ü", 20_000) + strings.Repeat("x", 20_000), Reason: "unread"}
	for i := range 50_000 {
		f.Also = append(f.Also, record.Address{File: "frogs.csv", Row: 2 + 2*i, Column: 4})
	}
	var out strings.Builder
	if err := FindingsCSV(&out, []record.Finding{f}); err != nil {
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
