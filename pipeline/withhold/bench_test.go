package withhold

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// ponds is pond many times over, each in its own file.
func ponds(n int) (captures []*record.Capture, tables []*record.Table) {
	for i := range n {
		cs, ts := pond()
		name := fmt.Sprintf("frogs-%d.csv", i)
		for _, c := range cs {
			c.File = name
			for k := range c.Values {
				c.Values[k].Vary(func(f *record.Field) { f.Column.File = name })
			}
			for k := range c.Readings {
				c.Readings[k].Vary(func(s *record.Series) { s.Column.File = name })
			}
		}
		ts[0].File = name
		captures, tables = append(captures, cs...), append(tables, ts...)
	}
	return captures, tables
}

// BenchmarkHide withholds the places of two captures in three.
func BenchmarkHide(b *testing.B) {
	const n = 300
	b.ReportAllocs()
	for b.Loop() {
		b.StopTimer() // captures are hidden where they are
		captures, tables := ponds(n)
		b.StartTimer()
		if r, err := Hide(captures, tables, nil, settings()); err != nil || len(r.Hidden) != 2*n {
			b.Fatal(r, err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/(3*n), "ns/capture")
}

// BenchmarkGuard looks through a file for places that must not be there.
func BenchmarkGuard(b *testing.B) {
	captures, tables := ponds(300)
	r, err := Hide(captures, tables, nil, settings())
	if err != nil {
		b.Fatal(err)
	}
	text := strings.Repeat("urn:uuid:7d4e,2024-05-02,Tern Slough,45.4181,-76.1969,Lithobates pipiens,in reeds\n", 10_000)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if told, err := r.Guard.Scan("occurrence.csv", bytes.NewReader([]byte(text))); err != nil || len(told) > 0 {
			b.Fatal(told, err)
		}
	}
}
