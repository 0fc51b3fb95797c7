package vocabulary

import "testing"

func BenchmarkFind(b *testing.B) {
	l := load(b, "sex")
	texts := []string{"M", "♀", "Weibchen", "", "macho"}
	b.ReportAllocs()
	for i := range b.N {
		l.Find(texts[i%len(texts)], nil)
	}
}
