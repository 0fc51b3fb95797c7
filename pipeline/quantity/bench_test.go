package quantity

import "testing"

func BenchmarkParse(b *testing.B) {
	for _, s := range []string{"57.5", "5.75 cm", "132 (scale not calibrated)", "n/a"} {
		b.Run(s, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Parse(s, Options{Unit: "mm", Want: "length"})
			}
		})
	}
}
