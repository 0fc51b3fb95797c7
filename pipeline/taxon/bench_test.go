package taxon

import "testing"

func BenchmarkMatch(b *testing.B) {
	c := checklist(b)
	texts := []string{"Lithobates clamitans", "L. clamitans", "wood frog", "LICL", "Lithobates cf. pipiens"}
	b.ReportAllocs()
	for i := range b.N {
		c.Match(texts[i%len(texts)])
	}
}
