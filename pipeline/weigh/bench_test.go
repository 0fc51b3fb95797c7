package weigh

import (
	"fmt"
	"testing"

	"spadefoot/pipeline/record"
)

// BenchmarkWeigh takes gross and tare of one animal to the net.
func BenchmarkWeigh(b *testing.B) {
	s := Defaults()
	s.Instruments = scales
	c := capture(b, record.SameRow, "33.5", "4.0", "29.5")
	b.ReportAllocs()
	for b.Loop() {
		c.Readings = c.Readings[:0]
		Weigh(c, BagTable{}, s)
	}
}

// BenchmarkTares gathers the tares of a session and judges each.
func BenchmarkTares(b *testing.B) {
	const n = 2000
	captures := make([]*record.Capture, n)
	for i := range captures {
		captures[i] = capture(b, record.SameRow, "33.5", fmt.Sprintf("%.1f", 4+0.5*float64(i%5)), "nil")
	}
	s := Defaults()
	b.ReportAllocs()
	for b.Loop() {
		var tares TareSummary
		for _, c := range captures {
			tares.AddCapture(c)
		}
		for _, c := range captures {
			JudgeTare(c, tares, s)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n, "ns/capture")
}
