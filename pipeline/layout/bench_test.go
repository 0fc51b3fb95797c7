package layout_test

import (
	"fmt"
	"testing"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/record"
)

var plainHeadings = []string{"No", "Date", "Site", "Species", "Sex", "SVL", "Tibia", "Head W", "Gross", "Bag", "Mass", "Observer", "Plot", "Air T", "Water T", "Notes"}

// longSheet is one plain table of many rows and sixteen columns: numbers,
// dates, words and a few notes, as from a text file.
func longSheet(rows int) record.Sheet {
	s := record.Sheet{File: "long.csv", Rows: make([]record.Row, rows+1)}
	line := func(i int, texts []string) {
		cells := make([]record.Cell, len(texts))
		for k, text := range texts {
			cells[k] = record.Cell{Text: text, Kind: record.Text, Row: i + 1, Column: k + 1}
			if text == "" {
				cells[k].Kind = record.Blank
			}
		}
		s.Rows[i] = record.Row{Number: i + 1, Cells: cells}
	}
	line(0, plainHeadings)
	for i := 1; i <= rows; i++ {
		notes := ""
		if i%9 == 0 {
			notes = fmt.Sprintf("left hind toe missing, seen before as %d", i)
		}
		line(i, []string{fmt.Sprint(i), fmt.Sprintf("2021-05-%02d", i%28+1), "Tern Slough", "Rana luteiventris", []string{"F", "M", "J"}[i%3],
			fmt.Sprint(50 + i%30), fmt.Sprint(20 + i%12), fmt.Sprint(15 + i%9), fmt.Sprintf("%d.5", 20+i%20), "5.5", fmt.Sprint(15 + i%20),
			"I. Varga", fmt.Sprint(i % 7), "17.5", "14", notes})
	}
	return s
}

func benchmarkPlain(b *testing.B, rows int, o layout.Options) {
	s := longSheet(rows)
	b.ReportAllocs()
	for b.Loop() {
		tables, _ := layout.Find(s, o)
		if len(tables) != 1 || len(tables[0].Rows) != rows {
			b.Fatalf("%d tables", len(tables))
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(rows), "ns/row")
}

func BenchmarkPlain(b *testing.B) {
	for _, rows := range []int{10_000, 100_000} {
		b.Run(fmt.Sprintf("mapped-%d", rows), func(b *testing.B) { benchmarkPlain(b, rows, layout.Options{IsHeading: station}) })
		b.Run(fmt.Sprintf("draft-%d", rows), func(b *testing.B) { benchmarkPlain(b, rows, layout.Options{}) })
	}
}

// BenchmarkWords is the worst a plain table can be: nothing but words, no two
// alike, so that every row might be one of headings.
func BenchmarkWords(b *testing.B) {
	const rows = 100_000
	s := record.Sheet{File: "words.csv"}
	for i := range rows {
		r := record.Row{Number: i + 1}
		for k := range 16 {
			text := fmt.Sprintf("word %s%s", record.ColumnLetters(i+1), record.ColumnLetters(k+1))
			if i == 0 {
				text = plainHeadings[k]
			}
			r.Cells = append(r.Cells, record.Cell{Text: text, Kind: record.Text, Row: i + 1, Column: k + 1})
		}
		s.Rows = append(s.Rows, r)
	}
	for b.Loop() {
		layout.Find(s, layout.Options{IsHeading: station})
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(rows), "ns/row")
}

// BenchmarkManyTables has a table of three rows under another, thousands of
// times.
func BenchmarkManyTables(b *testing.B) {
	for _, n := range []int{1000, 10_000} {
		var lines []string
		for i := range n {
			lines = append(lines, fmt.Sprintf("Plot: %d", i), "No|SVL|Mass", "1|61|20", "2|58|19", "3|60|20", "")
		}
		s := paper(lines...)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				if tables, _ := layout.Find(s, layout.Options{IsHeading: station}); len(tables) != n {
					b.Fatalf("%d tables", len(tables))
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n*6), "ns/row")
		})
	}
}
