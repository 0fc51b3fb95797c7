package pipeline_test

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline"
)

const mergedSurvey = `dataset:
  id: https://marrow-creek.invalid/datasets/merged
  title: Merged cells
  description: Invented.
  licence: https://creativecommons.org/publicdomain/zero/1.0/legalcode
  creators: [{given: Ines, family: Varga}]
defaults: {scientificName: Anaxyrus americanus}
sheets: [{file: toads}]
mapping:
  key: [recordNumber]
  headings:
    - {heading: No, term: recordNumber}
    - {heading: Date, term: eventDate}
    - {heading: Site, term: locality}
    - {heading: Sex, term: sex}
    - {heading: SVL mm, measurement: snoutVentLength, unit: mm}
`

// mergedRows are those that testdata/sheets/merged.py writes.
var mergedRows = [][]any{
	{"Date", "Site", "No", "Sex", "SVL mm"},
	{time.Date(2024, 5, 3, 0, 0, 0, 0, time.UTC), "Alder Seep", 1, "F", 61.0},
	{nil, nil, 2, "M", 55.0},
	{nil, nil, 3, "M", 57.5},
	{time.Date(2024, 5, 4, 0, 0, 0, 0, time.UTC), nil, 4, "F", 66.5},
	{nil, nil, 5, "M", 58.0},
	{time.Date(2024, 5, 5, 0, 0, 0, 0, time.UTC), "Old Ferry Ditch", 6, "M", 60.0},
	{nil, nil, 7, "F", 64.0},
}

var mergedDown = map[[2]int]int{{1, 0}: 3, {1, 1}: 5, {4, 0}: 2} // rows by row and column, from 0

func mergedXLSX(t *testing.T) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	style, err := f.NewStyle(&excelize.Style{NumFmt: 14})
	check := func(err error) {
		if err != nil {
			t.Fatal(err)
		}
	}
	check(err)
	for r, row := range mergedRows {
		for c, value := range row {
			name, _ := excelize.CoordinatesToCellName(c+1, r+1)
			if value == nil {
				continue
			}
			check(f.SetCellValue("Sheet1", name, value))
			if _, day := value.(time.Time); day {
				check(f.SetCellStyle("Sheet1", name, name, style))
			}
			if n := mergedDown[[2]int{r, c}]; n > 1 {
				last, _ := excelize.CoordinatesToCellName(c+1, r+n)
				check(f.MergeCell("Sheet1", name, last))
			}
		}
	}
	var b bytes.Buffer
	check(f.Write(&b))
	return b.Bytes()
}

// mergedODS writes the sheet as a spreadsheet program does (ODF 1.3, 9.1.4):
// the covered cells stand as covered-table-cell.
func mergedODS(t *testing.T) []byte {
	t.Helper()
	var x strings.Builder
	x.WriteString(`<?xml version="1.0" encoding="UTF-8"?><office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"><office:body><office:spreadsheet><table:table table:name="Toads">`)
	covered := map[[2]int]bool{}
	for r, row := range mergedRows {
		x.WriteString("<table:table-row>")
		for c, value := range row {
			at := [2]int{r, c}
			span := ""
			if n := mergedDown[at]; n > 1 {
				span = fmt.Sprintf(` table:number-columns-spanned="1" table:number-rows-spanned="%d"`, n)
				for i := 1; i < n; i++ {
					covered[[2]int{r + i, c}] = true
				}
			}
			switch v := value.(type) {
			case nil:
				if covered[at] {
					x.WriteString("<table:covered-table-cell/>")
				} else {
					x.WriteString("<table:table-cell/>")
				}
			case time.Time:
				fmt.Fprintf(&x, `<table:table-cell%s office:value-type="date" office:date-value="%s"><text:p>%s</text:p></table:table-cell>`, span, v.Format(time.DateOnly), v.Format("02.01.06"))
			case string:
				fmt.Fprintf(&x, `<table:table-cell%s office:value-type="string"><text:p>%s</text:p></table:table-cell>`, span, v)
			default:
				fmt.Fprintf(&x, `<table:table-cell office:value-type="float" office:value="%v"><text:p>%v</text:p></table:table-cell>`, v, v)
			}
		}
		x.WriteString("</table:table-row>")
	}
	x.WriteString("</table:table></office:spreadsheet></office:body></office:document-content>")
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, p := range [][2]string{{"mimetype", "application/vnd.oasis.opendocument.spreadsheet"}, {"content.xml", x.String()}} {
		f, err := w.Create(p[0])
		if err == nil {
			_, err = f.Write([]byte(p[1]))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A merged cell holds for all rows that it covers, in every kind of workbook;
// a blank that is not covered stays one.
func TestMergedCellsHoldForTheirRows(t *testing.T) {
	xls, err := os.ReadFile(filepath.Join("..", "testdata", "sheets", "merged.xls"))
	if err != nil {
		t.Fatal(err)
	}
	want := "1 2024-05-03 Alder Seep; 2 2024-05-03 Alder Seep; 3 2024-05-03 Alder Seep; 4 2024-05-04 Alder Seep; 5 2024-05-04 Alder Seep; 6 2024-05-05 Old Ferry Ditch; 7  "
	for name, book := range map[string][]byte{"xlsx": mergedXLSX(t), "xls": xls, "ods": mergedODS(t)} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			put(t, dir, "toads", string(book))
			put(t, dir, "survey.yaml", mergedSurvey)
			r, err := pipeline.Check(context.Background(), dir, pipeline.Options{})
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, c := range r.Captures {
				got = append(got, c.Get("recordNumber")+" "+c.Get("eventDate")+" "+c.Get("locality"))
			}
			if s := strings.Join(got, "; "); s != want {
				t.Errorf("got  %s\nwant %s", s, want)
			}
			if c := r.Captures[4]; c.Value("eventDate").From().Row != 6 {
				t.Errorf("the date of capture 5 is said to stand in row %d", c.Value("eventDate").From().Row)
			}
			if n := r.Tally.ByRule["merged-read"]; n != 2 {
				t.Errorf("%d notes on merged cells, want one for each of two columns", n)
			}
		})
	}
}
