package sheet

import (
	"path/filepath"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// fixtures are one field book in four kinds of workbook, written by
// testdata/sheets/make.py.
var fixtures = []string{"frogs.xlsx", "frogs-97.xls", "frogs-95.xls", "frogs.ods"}

func fixture(t testing.TB, name string) string {
	t.Helper()
	return filepath.Join(need.Root(t), "testdata", "sheets", name)
}

func TestFourKindsReadTheSame(t *testing.T) {
	want := []string{
		"1:Marrow Creek, spring round",
		"2:",
		"3:Tag|Field no|Date|Time|Taken|SVL (mm)|Gross|Tare|Net|Humidity|Adult|Notes",
		"4:0017|0042|2021-04-05|07:30|2021-04-05T07:30|57.50|31.2 g|4.9|26.3|83%|TRUE|Ile aux Cèdres, under a log",
		"5:0018|0043|2021-04-06|19:05:30|2021-04|60.0|0.3||over 60|12.5%|FALSE|two lines:\ncalling male, 5\" pool",
		"6:0019|1234|1999-12-31|26:30:00||-3.25|985112004567890|0.0025|#DIV/0!",
		"7:0020|0045|5 April|||57,5|n/a|-",
		"8:",
		"9:|||||0.10",
	}
	found := []string{"date-year-unshown tab Spring, C5", "cell-fault tab Spring, I6", "tab-hidden tab Bags", "fill-meaning tab Spring, A6", "rows-hidden tab Spring, row 7"}
	var first []record.Sheet
	for _, name := range fixtures {
		sheets, fs, err := Read(name, fixture(t, name), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if len(sheets) != 3 || sheets[0].Name != "Spring" || sheets[1].Name != "Bags" || sheets[2].Name != "Empty" {
			t.Fatalf("%s: got %d tabs", name, len(sheets))
		}
		if d := cmp.Diff(want, texts(sheets[0])); d != "" {
			t.Errorf("%s: %s", name, d)
		}
		if d := cmp.Diff([]string{"1:Bag|Weight g", "2:A|4.5", "3:B|5.0"}, texts(sheets[1])); d != "" {
			t.Errorf("%s: %s", name, d)
		}
		if d := cmp.Diff(found, raised(fs)); d != "" {
			t.Errorf("%s: %s", name, d)
		}
		if sheets[0].Hidden || !sheets[1].Hidden || !sheets[0].Rows[6].Hidden || sheets[0].Rows[5].Hidden {
			t.Errorf("%s: the wrong tabs or rows are hidden", name)
		}
		for i := range sheets {
			sheets[i].File = "frogs"
		}
		if name == "frogs-95.xls" {
			sheets[0].Merges = first[0].Merges // BIFF5 has no record of merged cells
		}
		if first == nil {
			first = sheets
		} else if d := cmp.Diff(first, sheets); d != "" { // kinds, comments, colours and all
			t.Errorf("%s: %s", name, d)
		}
	}
	row := first[0].Rows[3]
	kinds := []record.CellKind{record.Text, record.Number, record.Date, record.Date, record.Date, record.Number, record.Number, record.Number, record.Number, record.Number, record.Bool, record.Text}
	for i, c := range row.Cells {
		if c.Kind != kinds[i] || c.Row != 4 || c.Column != i+1 || c.Formula != (i == 8) {
			t.Errorf("cell %d: %+v", i+1, c)
		}
	}
	if c := first[0].Rows[4].Cells[5]; c.Comment() != "measured twice" {
		t.Errorf("comment: %+v", c)
	}
	if c := first[0].Rows[5].Cells[0]; c.Fill() != "FFFF00" {
		t.Errorf("fill: %+v", c)
	}
	if c := first[0].Rows[5].Cells[8]; c.Kind != record.Fault {
		t.Errorf("fault: %+v", c)
	}
}

func TestTabs(t *testing.T) {
	for _, name := range fixtures {
		sheets, _, err := Read(name, fixture(t, name), Options{Tabs: []string{"Bags"}})
		if err != nil || len(sheets) != 1 || sheets[0].Name != "Bags" {
			t.Errorf("%s: %v, %v", name, sheets, err)
		}
		if sheets, _, err := Read(name, fixture(t, name), Options{Tabs: []string{"?a*"}}); err != nil || len(sheets) != 1 || sheets[0].Name != "Bags" {
			t.Errorf("%s by pattern: %v, %v", name, sheets, err)
		}
		_, _, err = Read(name, fixture(t, name), Options{Tabs: []string{"Autumn"}})
		e, ok := err.(*Error)
		if !ok || e.Sheet != "Autumn" || e.Advice != "its tabs are Spring, Bags, Empty; write one of them under tabs, in its entry under sheets in survey.yaml" {
			t.Errorf("%s: %v", name, err)
		}
		if _, _, err := Read(name, fixture(t, name), Options{Tabs: []string{"Empty"}}); err == nil {
			t.Errorf("%s: a tab with nothing in it was read", name)
		}
	}
}

func TestFindingsAreSorted(t *testing.T) {
	_, fs, err := Read("frogs.xlsx", fixture(t, "frogs.xlsx"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	sorted := slices.Clone(fs)
	record.SortFindings(sorted)
	if d := cmp.Diff(sorted, fs); d != "" {
		t.Error(d)
	}
}

func TestSupported(t *testing.T) {
	for name, want := range map[string]bool{
		"a.csv": true, "A.CSV": true, "b/c.tsv": true, "x.txt": true, "x.xlsx": true, "x.xls": true, "x.ods": true, "x.xlsm": true,
		"x.pdf": false, "x.yaml": false, "csv": false, "x.xlsb": false, "": false,
	} {
		if got := Supported(name); got != want {
			t.Errorf("%s: got %v", name, got)
		}
	}
}
