package infer

import (
	"fmt"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
)

func benchmarkSurvey() []*record.Capture {
	cs := frogs(31, 2000, kinds...)
	for i, c := range cs {
		c.ID = fmt.Sprintf("%08x-0000-5000-8000-%012x", digest.Spread(uint64(i))>>32, i)
	}
	return cs
}

func BenchmarkLook(b *testing.B) {
	cs := benchmarkSurvey()
	in, s := Inputs{Rules: Rules()}, Defaults()
	b.ReportAllocs()
	for b.Loop() {
		New(in, s).Add(cs, func(int) bool { return false })
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(cs)), "ns/capture")
}

func BenchmarkJudge(b *testing.B) {
	cs := benchmarkSurvey()
	x := New(Inputs{Rules: Rules()}, Defaults())
	verify(cs)
	x.Add(cs, func(int) bool { return false })
	x.Learn()
	b.ReportAllocs()
	for b.Loop() {
		x.judged = 0
		x.Judge(cs)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(cs)), "ns/capture")
}

func BenchmarkReadings(b *testing.B) {
	cs := benchmarkSurvey()
	x := New(Inputs{Rules: Rules()}, Defaults())
	x.Add(cs, func(int) bool { return false })
	x.Settle()
	b.ReportAllocs()
	for b.Loop() {
		for n, c := range cs {
			x.Readings(n, c)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(cs)), "ns/capture")
}
