package statistics

import (
	"fmt"
	"testing"
)

// BenchmarkFits fits what screening and inference fit to a group: lines, a
// robust covariance, the axis of mass on length, classes.
func BenchmarkFits(b *testing.B) {
	for _, n := range []int{50, 500} {
		x, y, rows := cloud(n, 3)
		class := make([]int, n)
		length, mass := make([]float64, n), make([]float64, n)
		for i := range rows {
			class[i] = i % 2
			length[i], mass[i] = 60+5*x[i], 20+y[i]*y[i]
		}
		for _, fit := range []struct {
			name string
			do   func() error
		}{
			{"median-and-MAD", func() error { Median(x); MAD(x); return nil }},
			{"Theil-Sen", func() error { _, err := TheilSen(x, y); return err }},
			{"MM-line", func() error { _, err := MMLine(x, y); return err }},
			{"FastMCD", func() error { _, err := FastMCD(rows, MCDOptions{}); return err }},
			{"body-axis", func() error { _, err := FitBodyAxis(length, mass, 0.95); return err }},
			{"discriminant", func() error { _, err := FitDiscriminant(rows, class, 2, DiscriminantOptions{}); return err }},
		} {
			b.Run(fmt.Sprintf("%s-%d", fit.name, n), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if err := fit.do(); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// BenchmarkAgreement compares observers on fifty individuals measured by four.
func BenchmarkAgreement(b *testing.B) {
	_, _, rows := cloud(50, 4)
	for i := range rows {
		rows[i] = append(rows[i], rows[i][0]+0.1)
	}
	first, second := make([]float64, len(rows)), make([]float64, len(rows))
	for i, r := range rows {
		first[i], second[i] = r[0], r[3]
	}
	b.ReportAllocs()
	for b.Loop() {
		_, e1 := Intraclasses(rows, 0.95)
		_, e2 := MeasurementError(rows, 0.95)
		_, e3 := BlandAltman(first, second, 0.95)
		if e1 != nil || e2 != nil || e3 != nil {
			b.Fatal(e1, e2, e3)
		}
	}
}

// BenchmarkSample adds values to a sample, which may be merged, and asks for
// its centre.
func BenchmarkSample(b *testing.B) {
	x, _, _ := cloud(5000, 5)
	b.ReportAllocs()
	for b.Loop() {
		var s Sample
		for _, v := range x {
			s.Add(v)
		}
		s.Centre()
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(x)), "ns/value")
}
