package sheet

import (
	"bytes"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"
)

// TestStruck reads what is crossed out: whole cells by their style, and parts of a
// text (ECMA-376 Part 1, 18.4.10; ODF 1.3 Part 3, 20.376; [MS-XLS] 2.4.122).
func TestStruck(t *testing.T) {
	tests := []struct {
		name string
		book []byte
		want []string
	}{
		{"t.xlsx", xlsxBytes(t, func(f *excelize.File) {
			id, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Strike: true}})
			must(t, err)
			must(t, f.SetCellValue("Sheet1", "A1", 57.5))
			must(t, f.SetCellValue("Sheet1", "B1", 58))
			must(t, f.SetCellStyle("Sheet1", "B1", "C1", id))
			must(t, f.SetCellRichText("Sheet1", "D1", []excelize.RichTextRun{{Text: "57", Font: &excelize.Font{Strike: true}}, {Text: " 58"}}))
		}), []string{"58", "57 58"}},
		{"t.ods", odsBytes(t, `<style:style style:name="base" style:family="table-cell"><style:text-properties style:text-line-through-style="solid"/></style:style>
			<style:style style:name="own" style:family="table-cell" style:parent-style-name="base"/><style:style style:name="plain" style:family="table-cell" style:parent-style-name="base"><style:text-properties style:text-line-through-style="none"/></style:style>
			<style:style style:name="part" style:family="text"><style:text-properties style:text-line-through-type="single"/></style:style>`,
			`<table:table-row><table:table-cell table:style-name="plain" office:value-type="float" office:value="57.5"><text:p>57.5</text:p></table:table-cell><table:table-cell table:style-name="own" office:value-type="float" office:value="58"><text:p>58</text:p></table:table-cell>
			<table:table-cell office:value-type="string"><text:p><text:span text:style-name="part">57</text:span> 58</text:p></table:table-cell></table:table-row>`, nil),
			[]string{"58", "57 58"}},
		{"t.xls", biff8(bytes.Join([][]byte{
			rec(recFont, uint16(200), uint16(0)), rec(recFont, uint16(200), uint16(0)), rec(recFont, uint16(200), uint16(0)), rec(recFont, uint16(200), uint16(0)), rec(recFont, uint16(200), uint16(8)),
			rec(recXF, uint16(0), uint16(0), make([]byte, 16)), rec(recXF, uint16(5), uint16(0), make([]byte, 16)),
		}, nil), bytes.Join([][]byte{rec(recNumber, uint16(0), uint16(0), uint16(0), 57.5), rec(recNumber, uint16(0), uint16(1), uint16(1), 58.0)}, nil)), []string{"58"}},
	}
	for _, test := range tests {
		sheets, _, err := readBytes(test.name, test.book, Options{})
		must(t, err)
		var got []string
		for _, c := range sheets[0].Rows[0].Cells {
			if c.Struck() && c.Text != "" {
				got = append(got, c.Text)
			}
		}
		if d := cmp.Diff(test.want, got); d != "" {
			t.Errorf("%s: %s", test.name, d)
		}
	}
}
