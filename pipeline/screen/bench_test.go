package screen

import (
	"fmt"
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

func BenchmarkScreen(b *testing.B) {
	for _, n := range []int{500, 5000} {
		captures := simulate(n, 3)
		plant(captures, n/100, 4)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				Screen(captures, nil, Defaults())
			}
		})
	}
}

// BenchmarkPart judges parts of 8,192 captures against a summary that is there.
func BenchmarkPart(b *testing.B) {
	const size = 8192
	captures := simulate(2*size, 3)
	sum := Summarise(captures, Defaults())
	sum.fit()
	b.ReportAllocs()
	for b.Loop() {
		x := NewScreening(sum, nil, Defaults())
		for part := range slices.Chunk(captures, size) {
			x.Part(part, Beside{})
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(captures)), "ns/capture")
}

func BenchmarkSummary(b *testing.B) {
	captures := simulate(8192, 3)
	sum := NewSummary(Defaults())
	b.ReportAllocs()
	for b.Loop() {
		for _, c := range captures {
			sum.AddPart([]*record.Capture{c})
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(captures)), "ns/capture")
}

// BenchmarkPairs looks for captures entered twice, and follows marks.
func BenchmarkPairs(b *testing.B) {
	captures := simulate(8192, 3)
	for i, c := range captures {
		c.Set(record.Value{Field: record.Of("organismID"), Text: fmt.Sprint("M", i%4000)})
	}
	sum := Summarise(captures, Defaults())
	b.ReportAllocs()
	for b.Loop() {
		d, m := NewDuplicates(""), NewMarks("")
		for i, c := range captures {
			_, _ = d.Add(i, c), m.Add(i, c)
		}
		_, _ = d.Pairs(sum, Defaults())
		_, _ = m.Pairs(sum, nil, Defaults())
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(captures)), "ns/capture")
}
