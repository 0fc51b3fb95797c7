package record

import (
	"testing"

	"github.com/xuri/excelize/v2"
)

func TestAddresses(t *testing.T) {
	for want, a := range map[string]Address{
		"f.csv":                   {File: "f.csv"},
		"f.csv, row 7":            {File: "f.csv", Row: 7},
		"f.csv, column AB":        {File: "f.csv", Column: 28},
		"f.xlsx, tab Spring":      {File: "f.xlsx", Sheet: "Spring"},
		"f.xlsx, tab Spring, D12": {File: "f.xlsx", Sheet: "Spring", Row: 12, Column: 4},
	} {
		if got := a.String(); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}

// Columns have the letters that the library for workbooks gives them.
func TestColumnLetters(t *testing.T) {
	for n := 1; n <= excelize.MaxColumns; n++ {
		want, err := excelize.ColumnNumberToName(n)
		if got := ColumnLetters(n); err != nil || got != want {
			t.Fatalf("column %d is %s, want %s %v", n, got, want, err)
		}
	}
	if got := ColumnLetters(0); got != "" {
		t.Errorf("no column is %s", got)
	}
}
