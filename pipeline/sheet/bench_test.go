package sheet

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"testing"

	"github.com/xuri/excelize/v2"
)

// benchSheet returns the sheet to measure with: $SPADEFOOT_SHEET, or 20,000
// invented rows.
func benchSheet(b *testing.B) []byte {
	if path := os.Getenv("SPADEFOOT_SHEET"); path != "" {
		text, err := os.ReadFile(path)
		must(b, err)
		return text
	}
	var out bytes.Buffer
	out.WriteString("Field No,Date,Site,Lat,Long,Species,Sex,SVL (mm),Gross wt (g),Bag wt (g),Notes\n")
	for i := range 20_000 {
		note := ""
		if i%11 == 0 {
			note = `"in reeds, calling"`
		}
		fmt.Fprintf(&out, "MC%07d,2014-05-%02d,Site %d,45.%04d,-78.%04d,wood frog,F,%d.%d,%d.5,4.5,%s\n", i, 1+i%28, i%24, i%9999, i%9999, 40+i%20, i%10, 10+i%30, note)
	}
	return out.Bytes()
}

func BenchmarkTextRows(b *testing.B) {
	text := benchSheet(b)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		for _, err := range TextRows("t.csv", bytes.NewReader(text), Options{}, nil) {
			must(b, err)
		}
	}
}

// BenchmarkEncodingCSV is what the standard library needs for the same.
func BenchmarkEncodingCSV(b *testing.B) {
	text := benchSheet(b)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		for r := csv.NewReader(bytes.NewReader(text)); ; {
			if _, err := r.Read(); err == io.EOF {
				break
			} else {
				must(b, err)
			}
		}
	}
}

func BenchmarkXLSX(b *testing.B) {
	book := xlsxBytes(b, func(f *excelize.File) {
		w, err := f.NewStreamWriter("Sheet1")
		must(b, err)
		for i := range 5000 {
			must(b, w.SetRow(fmt.Sprint("A", i+1), []any{fmt.Sprint("MC", i), 57.5, 12.25, "wood frog", "F", i, 45.5, -78.25}))
		}
		must(b, w.Flush())
	})
	b.ReportAllocs()
	for b.Loop() {
		_, _, err := readBytes("t.xlsx", book, Options{})
		must(b, err)
	}
}
