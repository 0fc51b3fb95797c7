package place

import "testing"

func BenchmarkParsePair(b *testing.B) {
	for _, o := range []Options{{Datum: "WGS84"}, {Datum: "NAD27"}, {}} {
		b.Run("datum "+o.Datum, func(b *testing.B) {
			for b.Loop() {
				ParsePair(`45°24'04"N 75°42'04"W`, o)
			}
		})
	}
}
