package calendar

import "testing"

func BenchmarkParse(b *testing.B) {
	for _, s := range []string{"2021-06-03", "3 Jun 2021", "03/06/2021", "30 Jun - 2 Jul 2021"} {
		b.Run(s, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Parse(s, Options{Order: DMY, FirstYear: 2010, LastYear: 2021})
			}
		})
	}
}
