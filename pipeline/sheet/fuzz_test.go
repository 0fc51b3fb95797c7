package sheet

import (
	"bytes"
	"maps"
	"os"
	"slices"
	"testing"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline/record"
)

// whole holds what every sheet has to be, whatever the file was.
func whole(t *testing.T, s record.Sheet) {
	last := 0
	for _, r := range s.Rows {
		if r.Number <= last {
			t.Fatalf("row %d follows row %d", r.Number, last)
		}
		last = r.Number
		for i, c := range r.Cells {
			if c.Row != r.Number || c.Column != i+1 {
				t.Fatalf("row %d, cell %d says %d, %d", r.Number, i+1, c.Row, c.Column)
			}
			if (c.Kind == record.Blank) != (c.Text == "") {
				t.Fatalf("%q is of kind %d", c.Text, c.Kind)
			}
		}
	}
}

// fuzzFile reads any bytes as a file of the given name: sheets or an *Error.
func fuzzFile(t *testing.T, name string, b []byte) {
	sheets, found, err := readBytes(name, b, Options{})
	if err != nil {
		if e, ok := err.(*Error); !ok || e.File != name || e.Cause == "" || e.Advice == "" {
			t.Fatalf("%T: %v", err, err)
		}
		return
	}
	for _, s := range sheets {
		whole(t, s)
	}
	for _, f := range found {
		if f.Rule == "" || f.Reason == "" || f.Level == 0 || f.At.File != name {
			t.Fatalf("%+v", f)
		}
	}
	again, _, err := readBytes(name, b, Options{})
	if err != nil || len(again) != len(sheets) {
		t.Fatalf("read again: %d sheets, then %d, %v", len(sheets), len(again), err)
	}
}

func FuzzText(f *testing.F) {
	for _, s := range []string{"Tag,SVL\nA1,57.5\n", "a;\"b\n;c\"\r\nd;\"e", "a\t\"\"\"\tb\rc", "\xff\xfea\x00,\x00b\x00", "Montr\x8eal,\xe9\n", "sep=;\n\"x\" y;z\n", "a,\"b\nc,\"d\"\n",
		"sp svl m\n1 \"R. arvalis\" 5.2 1\n2 x 6 2\n3 y 7 3\n", "A title\nno  sp      svl\n1   R. sp.  5.2\n2   x       6\n33  ä       7\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) == 0 {
			return
		}
		fuzzFile(t, "t.csv", b)
		for _, sep := range []rune{',', ';'} {
			s, _, err := ReadText("t.csv", bytes.NewReader(b), Options{Encoding: "windows-1252", Separator: sep})
			if err == nil {
				whole(t, s)
			}
		}
	})
}

func FuzzXLSX(f *testing.F) {
	b, err := os.ReadFile(fixture(f, "frogs.xlsx"))
	must(f, err)
	f.Add(b)
	f.Add(xlsxBytes(f, func(x *excelize.File) { must(f, x.SetCellValue("Sheet1", "B2", "x")) }))
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > 0 {
			fuzzFile(t, "t.xlsx", b)
		}
	})
}

// FuzzXLSXTab puts any XML in the place of a tab, which fuzzing the packed file
// hardly ever reaches.
func FuzzXLSXTab(f *testing.F) {
	f.Add([]byte(sheetHead + `<cols><col min="1" max="2" hidden="1"/></cols><sheetData><row r="1"><c r="A1" s="1"><f>x</f><v>44291.5</v></c><c t="s"><v>0</v></c></row></sheetData><mergeCells><mergeCell ref="A1:B2"/></mergeCells></worksheet>`))
	base := xlsxBytes(f, func(x *excelize.File) {
		must(f, x.SetCellValue("Sheet1", "A1", "shared"))
		styled(f, x, "A1", "yyyy-mm-dd", "FF8800")
	})
	f.Fuzz(func(t *testing.T, xml []byte) {
		fuzzFile(t, "t.xlsx", rezip(t, base, func(name string, part []byte) []byte {
			if name == "xl/worksheets/sheet1.xml" {
				return append([]byte{}, xml...)
			}
			return part
		}))
	})
}

func FuzzXLS(f *testing.F) {
	for _, name := range []string{"frogs-97.xls", "frogs-95.xls"} {
		b, err := os.ReadFile(fixture(f, name))
		must(f, err)
		f.Add(b)
		stream, err := biffStream(bytes.NewReader(b), int64(len(b)))
		must(f, err)
		f.Add(stream)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > 0 {
			fuzzFile(t, "t.xls", b)
		}
	})
}

func FuzzODS(f *testing.F) {
	f.Add(`<number:date-style style:name="D"><number:day/></number:date-style>`, `<table:table-row table:number-rows-repeated="2"><table:table-cell office:value-type="float" office:value="5" table:number-columns-repeated="3"><text:p>5,0 g</text:p></table:table-cell></table:table-row>`)
	f.Add("", `<table:table-row><table:table-cell office:value-type="date" office:date-value="2021-04-05T07:30:00"><office:annotation><text:p>n</text:p></office:annotation><text:p>x</text:p></table:table-cell></table:table-row>`)
	f.Fuzz(func(t *testing.T, styles, rows string) {
		if len(rows) < 2000 {
			fuzzFile(t, "t.ods", odsBytes(t, styles, rows, nil))
		}
	})
}

func FuzzFormat(f *testing.F) {
	for _, code := range slices.Sorted(maps.Values(builtinFormats())) {
		f.Add(code, 44291.3125)
	}
	f.Fuzz(func(t *testing.T, code string, v float64) {
		p := parseFormat(code)
		if p.date.any() {
			serialText(v, p.date, false)
			return
		}
		if len(code) < 100 && p.text(v) == "" {
			t.Fatalf("%q of %v is nothing", code, v)
		}
	})
}
