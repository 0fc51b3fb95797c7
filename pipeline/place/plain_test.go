package place

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"testing"
)

func samePlain(t *testing.T, text string) bool {
	t.Helper()
	got, ok := plainAngle(text)
	if !ok {
		return false
	}
	var p Point
	if want, okay := p.cellInFull(text, "latitude"); !okay || !reflect.DeepEqual(got, want) {
		t.Errorf("%q: %+v, in full %+v, %+v", text, got, want, p.Problems)
	}
	return true
}

func TestPlainAngle(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 8))
	texts := []string{"0", "-0", "0.0", "180", "180.0", "180.1", "-180", "90", "045.1", "45.", ".5", "-.5", "+45.1", "45,1", "", "-", "1e2", "999", "0000.5", "45.12345678901", "--1", "45 "}
	for range 3000 {
		texts = append(texts, fmt.Sprintf("%.*f", r.IntN(11), r.Float64()*360-180))
	}
	plain := 0
	for _, text := range texts {
		if samePlain(t, text) {
			plain++
		}
	}
	if plain < 3000 {
		t.Errorf("only %d angles were plain", plain)
	}
}

// Plain degrees are never on a grid, so that Parse need not ask.
func TestPlainDegreesAreNoGrid(t *testing.T) {
	for _, o := range []Options{{}, {System: "UTM"}, {Zone: "18N"}, {Datum: "EPSG:32618"}} {
		for _, text := range []string{"0", "180", "-180", "45.1040", "179.9999999999"} {
			if gridNumbers(text, text, o) || zoneless(text, text) {
				t.Errorf("%s is on a grid under %+v", text, o)
			}
		}
	}
}

func FuzzPlainAngle(f *testing.F) {
	f.Add("45.1040")
	f.Add("-78.1360")
	f.Fuzz(func(t *testing.T, text string) { samePlain(t, text) })
}

func BenchmarkParseDegrees(b *testing.B) {
	for _, o := range []Options{{Datum: "WGS84"}, {Datum: "NAD27"}, {}} {
		b.Run("datum "+o.Datum, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Parse("45.1040", "-78.1360", o)
			}
		})
	}
}
