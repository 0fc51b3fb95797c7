package darwincore_test

import (
	"slices"
	"testing"

	"spadefoot/pipeline/darwincore"
	"spadefoot/testdata/readback"
)

// BenchmarkRows makes rows on one processor, and writes nothing.
func BenchmarkRows(b *testing.B) {
	all := varied(2000)
	a, err := darwincore.Create(b.TempDir(), dataset(), label)
	if err != nil {
		b.Fatal(err)
	}
	defer a.Discard()
	a.Expect(columnsOf(all))
	b.ReportAllocs()
	for b.Loop() {
		b.SetBytes(int64(darwincore.Encode(a, all)))
	}
	b.ReportMetric(float64(b.N*len(all))/b.Elapsed().Seconds(), "captures/s")
	b.ReportMetric(float64(b.N*len(all)*8)/b.Elapsed().Seconds(), "rows/s") // the core's and seven measurements
}

// BenchmarkColumns gathers columns beside the rows that an earlier pass makes.
func BenchmarkColumns(b *testing.B) {
	all := varied(2000)
	s := darwincore.NewRowBuilder(dataset(), label).RowWriter()
	var columns darwincore.Columns
	b.ReportAllocs()
	for b.Loop() {
		for _, c := range all {
			s.Occurrence(c)
			s.Note(&columns, c)
		}
	}
	b.ReportMetric(float64(b.N*len(all))/b.Elapsed().Seconds(), "captures/s")
}

// BenchmarkArchive writes whole archives, on all processors.
func BenchmarkArchive(b *testing.B) {
	all := varied(20000)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := readback.Write(b.TempDir(), dataset(), label, slices.Values(all)); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N*len(all))/b.Elapsed().Seconds(), "captures/s")
}
