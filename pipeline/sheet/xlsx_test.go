package sheet

import (
	"archive/zip"
	"bytes"
	"io"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/budget"
)

// xlsxBytes makes a workbook with the library.
func xlsxBytes(t testing.TB, fill func(f *excelize.File)) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	fill(f)
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func readBytes(name string, b []byte, o Options) ([]record.Sheet, []record.Finding, error) {
	return readFrom(name, bytes.NewReader(b), int64(len(b)), o)
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func styled(t testing.TB, f *excelize.File, cell, format, fill string) {
	t.Helper()
	s := &excelize.Style{}
	if format != "" {
		s.CustomNumFmt = &format
	}
	if fill != "" {
		s.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{fill}}
	}
	id, err := f.NewStyle(s)
	must(t, err)
	must(t, f.SetCellStyle("Sheet1", cell, cell, id))
}

func TestXLSXCells(t *testing.T) {
	b := xlsxBytes(t, func(f *excelize.File) {
		set := func(cell string, v any) { must(t, f.SetCellValue("Sheet1", cell, v)) }
		set("A1", "Tag")
		set("B1", " SVL ")
		set("A2", "0017")
		set("B2", 57.5)
		styled(t, f, "B2", "0.00", "")
		set("C2", 985112004567890123)
		set("D2", 0.1+0.2)
		set("E2", true)
		must(t, f.SetCellFormula("Sheet1", "A3", "B2*2"))
		set("B3", 44291)
		styled(t, f, "B3", "d mmm", "FF8800")
		must(t, f.SetCellRichText("Sheet1", "C3", []excelize.RichTextRun{{Text: "Rana "}, {Text: "clamitans"}}))
		must(t, f.AddComment("Sheet1", excelize.Comment{Cell: "F4", Author: "A", Text: "tag lost"}))
		styled(t, f, "A5", "", "FF8800")
		styled(t, f, "XFD6", "", "FF8800")
		set("A7", "last")
		must(t, f.SetColVisible("Sheet1", "D", false))
		must(t, f.MergeCell("Sheet1", "A10", "C11"))
		set("A10", "merged")
	})
	sheets, fs, err := readBytes("t.xlsx", b, Options{})
	must(t, err)
	want := []string{"1:Tag| SVL ", "2:0017|57.50|985112004567890000|0.3|TRUE", "3:|2021-04-05|Rana clamitans", "4:|||||", "5:", "6:", "7:last", "8:", "9:", "10:merged"}
	if d := cmp.Diff(want, texts(sheets[0])); d != "" {
		t.Error(d)
	}
	found := []string{"digits-lost tab Sheet1, C2", "formula-no-value tab Sheet1, A3", "date-year-unshown tab Sheet1, B3", "columns-hidden tab Sheet1, column D", "fill-meaning tab Sheet1, B3"}
	if d := cmp.Diff(found, raised(fs)); d != "" {
		t.Error(d)
	}
	rows := sheets[0].Rows
	if c := rows[1].Cells[0]; c.Kind != record.Text {
		t.Errorf("digits stored as text: %+v", c)
	}
	if c := rows[2].Cells[0]; !c.Formula || c.Kind != record.Blank {
		t.Errorf("formula: %+v", c)
	}
	if c := rows[2].Cells[1]; c.Fill() != "FF8800" {
		t.Errorf("fill: %+v", c)
	}
	if c := rows[3].Cells[5]; c.Comment() != "tag lost" || c.Kind != record.Blank {
		t.Errorf("comment: %+v", c)
	}
}

func TestXLSX1904(t *testing.T) {
	b := xlsxBytes(t, func(f *excelize.File) {
		on := true
		must(t, f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &on}))
		must(t, f.SetCellValue("Sheet1", "A1", 42829.3125))
		styled(t, f, "A1", "yyyy-mm-dd hh:mm", "")
	})
	sheets, _, err := readBytes("t.xlsx", b, Options{})
	must(t, err)
	if got := texts(sheets[0]); got[0] != "1:2021-04-05T07:30" {
		t.Errorf("got %v", got)
	}
}

// rezip copies a workbook and lets edit change its parts; a nil part is left
// out.
func rezip(t testing.TB, b []byte, edit func(name string, part []byte) []byte) []byte {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	must(t, err)
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, e := range z.File {
		r, err := e.Open()
		must(t, err)
		part, err := io.ReadAll(r)
		must(t, err)
		if part = edit(e.Name, part); part == nil {
			continue
		}
		to, err := w.Create(e.Name)
		must(t, err)
		_, err = to.Write(part)
		must(t, err)
	}
	must(t, w.Close())
	return out.Bytes()
}

const sheetHead = `<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">`

// withSheet makes a workbook whose only tab is the given XML.
func withSheet(t testing.TB, xml string) []byte {
	t.Helper()
	b := xlsxBytes(t, func(f *excelize.File) { must(t, f.SetCellValue("Sheet1", "A1", "shared")) })
	return rezip(t, b, func(name string, part []byte) []byte {
		if name == "xl/worksheets/sheet1.xml" {
			return []byte(xml)
		}
		return part
	})
}

func TestXLSXFromOtherPrograms(t *testing.T) {
	tests := []struct {
		name, data string
		want       []string
		found      []string
	}{
		{"no addresses", `<row><c><v>1</v></c><c t="str"><v>x</v></c></row><row><c><v>2</v></c></row>`, []string{"1:1|x", "2:2"}, nil},
		{"texts in place", `<row r="2"><c r="B2" t="inlineStr"><is><t>ab</t><r><t>c</t></r><rPh><t>zz</t></rPh></is></c></row>`, []string{"1:", "2:|abc"}, nil},
		{"shared", `<row r="1"><c r="A1" t="s"><v>0</v></c></row>`, []string{"1:shared"}, nil},
		{"faults", `<row r="1"><c r="A1" t="e"><f>1/0</f><v>#DIV/0!</v></c></row>`, []string{"1:#DIV/0!"}, []string{"cell-fault tab Sheet1, A1"}},
		{"ISO dates", `<row r="1"><c r="A1" t="d"><v>2021-04-05T07:30:00</v></c></row>`, []string{"1:2021-04-05T07:30:00"}, nil},
		{"formula with an empty text", `<row r="1"><c r="A1"><v>1</v></c><c r="B1" t="str"><f>x</f><v></v></c></row>`, []string{"1:1|"}, nil},
		{"formula with an empty value", `<row r="1"><c r="A1"><f>B1*2</f><v></v></c><c r="B1"><v>1</v></c><c r="C1" t="n"><f>B1</f><v/></c></row>`, []string{"1:|1|"}, []string{"formula-no-value tab Sheet1, A1", "formula-no-value tab Sheet1, C1"}},
		{"formula with no value", `<row r="1"><c r="A1"><f>SUM(B1:B2)</f></c><c r="B1"><v>1</v></c></row>`, []string{"1:|1"}, []string{"formula-no-value tab Sheet1, A1"}},
		{"cells out of order and doubled", `<row r="2"><c r="C2"><v>3</v></c><c r="A2"><v>1</v></c><c r="A2"><v>9</v></c></row><row r="1"><c r="A1"><v>0</v></c></row>`, []string{"1:0", "2:9||3"}, nil},
		{"value under a merge", `<row r="1"><c r="A1"><v>1</v></c><c r="B1"><v>2</v></c></row></sheetData><mergeCells><mergeCell ref="A1:B1"/></mergeCells><sheetData>`, []string{"1:1|2"}, []string{"merge-covered tab Sheet1, B1"}},
		{"not a number after all", `<row r="1"><c r="A1"><v>12 mm</v></c></row>`, []string{"1:12 mm"}, nil},
		{"far below", `<row r="1"><c r="A1"><v>1</v></c></row><row r="1048576"><c r="A1048576"><v>2</v></c></row>`, []string{"1:1", "1048576:2"}, nil},
	}
	for _, test := range tests {
		sheets, fs, err := readBytes("t.xlsx", withSheet(t, sheetHead+"<sheetData>"+test.data+"</sheetData></worksheet>"), Options{})
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		if d := cmp.Diff(test.want, texts(sheets[0])); d != "" {
			t.Errorf("%s: %s", test.name, d)
		}
		if d := cmp.Diff(test.found, raised(fs)); d != "" {
			t.Errorf("%s: %s", test.name, d)
		}
	}
}

func TestXLSXDamaged(t *testing.T) {
	row := `<row r="7"><c r="A7"><v>1</v></c></row>`
	for name, xml := range map[string]string{
		"cut within the rows":  sheetHead + "<sheetData>" + row,
		"cut within a cell":    sheetHead + `<sheetData>` + row + `<row r="8"><c r="A8"><v>`,
		"broken XML":           sheetHead + "<sheetData>" + row + "<row <<",
		"text that is missing": sheetHead + `<sheetData><row r="7"><c r="A7" t="s"><v>9</v></c></row></sheetData></worksheet>`,
		"address of elsewhere": sheetHead + `<sheetData><row r="7"><c r="A9"><v>9</v></c></row></sheetData></worksheet>`,
		"half an address":      sheetHead + `<sheetData>` + row + `<row r="8"><c r="XFD"><v>9</v></c></row></sheetData></worksheet>`,
		"address of nowhere":   sheetHead + `<sheetData>` + row + `<row r="99999999"><c><v>9</v></c></row></sheetData></worksheet>`,
	} {
		_, _, err := readBytes("t.xlsx", withSheet(t, xml), Options{})
		e, ok := err.(*Error)
		if !ok || e.Sheet != "Sheet1" || e.Row < 7 || e.Advice == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestTooManyCells(t *testing.T) {
	g := newGrid("t.xlsx", "Wide", newSpent(budget.Budgets{Cells: 1000}))
	for row := 1; row <= 3; row++ {
		g.put(record.Cell{Row: row, Column: 400, Text: "x", Kind: record.Text})
	}
	_, _, err := g.sheet()
	if e, ok := err.(*Error); !ok || e.Row != 3 || e.Sheet != "Wide" {
		t.Errorf("got %v", err)
	}
}

func TestXLSXMissingParts(t *testing.T) {
	whole := xlsxBytes(t, func(f *excelize.File) { must(t, f.SetCellValue("Sheet1", "A1", "shared")) })
	for _, gone := range []string{"xl/worksheets/sheet1.xml", "xl/sharedStrings.xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels"} {
		b := rezip(t, whole, func(name string, part []byte) []byte {
			if name == gone {
				return nil
			}
			return part
		})
		_, _, err := readBytes("t.xlsx", b, Options{})
		if e, ok := err.(*Error); !ok || e.Advice == "" {
			t.Errorf("without %s: %v", gone, err)
		}
	}
}

func TestXLSXOddTabs(t *testing.T) {
	b := xlsxBytes(t, func(f *excelize.File) {
		must(t, f.SetCellValue("Sheet1", "A1", 1))
		_, err := f.NewSheet("Secret")
		must(t, err)
		must(t, f.SetCellValue("Secret", "A1", 2))
		must(t, f.SetSheetVisible("Secret", false, true))
		must(t, f.AddChartSheet("Chart", &excelize.Chart{Type: excelize.Col, Series: []excelize.ChartSeries{{Values: "Sheet1!$A$1:$A$2"}}}))
	})
	sheets, fs, err := readBytes("t.xlsx", b, Options{})
	must(t, err)
	if len(sheets) != 2 || sheets[1].Name != "Secret" || !sheets[1].Hidden {
		t.Errorf("got %d tabs", len(sheets))
	}
	if d := cmp.Diff([]string{"tab-hidden tab Secret"}, raised(fs)); d != "" {
		t.Error(d)
	}
}

// TestXLSXColours has a colour of the theme made lighter, one by index, and a
// tab that is not in UTF-8.
func TestXLSXColours(t *testing.T) {
	base := xlsxBytes(t, func(f *excelize.File) {
		must(t, f.SetCellValue("Sheet1", "A1", "x"))
		styled(t, f, "A1", "", "112233")
		styled(t, f, "B1", "", "445566")
	})
	b := rezip(t, base, func(name string, part []byte) []byte {
		switch name {
		case "xl/styles.xml":
			part = bytes.Replace(part, []byte(`<fgColor rgb="FF112233">`), []byte(`<fgColor theme="4" tint="0.5">`), 1)
			part = bytes.Replace(part, []byte(`<fgColor rgb="FF445566">`), []byte(`<fgColor indexed="13">`), 1)
		case "xl/worksheets/sheet1.xml":
			part = []byte(`<?xml version="1.0" encoding="ISO-8859-1"?><worksheet><sheetData><row r="1"><c r="A1" s="1" t="str"><v>Montr` + "\xe9" + `al</v></c><c r="B1" s="2"><v>2</v></c></row></sheetData></worksheet>`)
		}
		return part
	})
	sheets, _, err := readBytes("t.xlsx", b, Options{})
	must(t, err)
	cells := sheets[0].Rows[0].Cells
	if cells[0].Text != "Montréal" || len(cells[0].Fill()) != 6 || cells[0].Fill() == "112233" || cells[1].Fill() != "FFFF00" {
		t.Errorf("got %+v", cells)
	}
}
