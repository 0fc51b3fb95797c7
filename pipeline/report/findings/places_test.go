package findings

import (
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

func TestPlaces(t *testing.T) {
	cell := func(row, column int) record.Address {
		return record.Address{File: "frogs.xlsx", Sheet: "Spring", Row: row, Column: column}
	}
	for _, c := range []struct {
		name string
		also []record.Address
		runs []record.Run
		want string
	}{
		{"none", nil, nil, ""},
		{"one", []record.Address{cell(4, 2)}, nil, "frogs.xlsx, tab Spring, B4"},
		{"down a column", []record.Address{cell(4, 2), cell(5, 2), cell(6, 2), cell(8, 2)}, nil, "frogs.xlsx, tab Spring, B4:B6; frogs.xlsx, tab Spring, B8"},
		{"along a row", []record.Address{cell(4, 2), cell(4, 3)}, nil, "frogs.xlsx, tab Spring, B4; frogs.xlsx, tab Spring, C4"},
		{"rows", []record.Address{cell(4, 0), cell(5, 0)}, nil, "frogs.xlsx, tab Spring, rows 4 to 5"},
		{"a long run", nil, []record.Run{{Address: cell(2, 4), Last: 50001}}, "frogs.xlsx, tab Spring, D2:D50001"},
		{"a sheet and a column", []record.Address{{File: "toads.csv"}, {File: "toads.csv", Column: 3}}, nil, "toads.csv; toads.csv, column C"},
	} {
		if got := string(appendPlaces(nil, c.also, c.runs)); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	var scattered []record.Address
	for i := range 20_000 {
		scattered = append(scattered, cell(2+2*i, 4))
	}
	got := string(appendPlaces(nil, scattered, nil))
	if len(got) >= 32_767 || !strings.HasSuffix(got, " more") {
		t.Errorf("%d bytes, ending in %q", len(got), got[len(got)-40:])
	}
}
