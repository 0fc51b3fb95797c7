package observers

import "testing"

// BenchmarkCompare compares four people on twelve models, measured twice.
func BenchmarkCompare(b *testing.B) {
	captures, known := practice()
	b.ReportAllocs()
	for b.Loop() {
		if r, err := Compare(captures, known, Defaults()); err != nil || len(r.Observers) != 4 {
			b.Fatal(r, err)
		}
	}
}
