package record

import "testing"

func TestRuns(t *testing.T) {
	var runs []Run
	cell := func(row, column int) Address { return Address{File: "frogs.csv", Row: row, Column: column} }
	for _, a := range []Address{cell(2, 4), cell(3, 4), cell(4, 4), cell(6, 4), cell(7, 5), cell(9, 0), cell(10, 0)} {
		runs = Extend(runs, a)
	}
	want := []string{"frogs.csv, D2:D4", "frogs.csv, D6", "frogs.csv, E7", "frogs.csv, rows 9 to 10"}
	if len(runs) != len(want) {
		t.Fatalf("%v", runs)
	}
	for i, r := range runs {
		if r.String() != want[i] {
			t.Errorf("%s, want %s", r, want[i])
		}
	}
	for _, c := range []struct {
		run  int
		at   Address
		held bool
	}{{0, cell(3, 4), true}, {0, cell(5, 4), false}, {0, cell(3, 5), false}, {3, cell(9, 7), true}, {3, Address{File: "toads.csv", Row: 9}, false}} {
		if runs[c.run].Holds(c.at) != c.held {
			t.Errorf("%s holds %s: %v", runs[c.run], c.at, !c.held)
		}
	}
}
