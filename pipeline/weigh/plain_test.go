package weigh

import (
	"math"
	"math/big"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

func sameDifference(t *testing.T, a, b float64, places int) bool {
	t.Helper()
	v, text, ok := plainDifference(a, b, places)
	if !ok {
		return false
	}
	if w, want := exactDifference(a, b, places); v != w || text != want {
		t.Errorf("%v − %v to %v places: %v %q, exactly %v %q", a, b, places, v, text, w, want)
	}
	return true
}

func TestPlainDifference(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 6))
	plain := 0
	for range 20_000 {
		a, b := math.Round(r.Float64()*1e5), math.Round(r.Float64()*1e5)
		p := math.Pow10(r.IntN(7))
		if sameDifference(t, a/p, b/p, r.IntN(8)-1) {
			plain++
		}
	}
	if plain < 7000 {
		t.Errorf("only %d differences were plain", plain)
	}
}

func FuzzPlainDifference(f *testing.F) {
	f.Add(33.0, 5.5, 1)
	f.Add(12.25, 0.125, 2)
	f.Fuzz(func(t *testing.T, a, b float64, places int) {
		if math.IsInf(a, 0) || math.IsInf(b, 0) || a != a || b != b || places > 30 || places < -12 {
			return
		}
		sameDifference(t, a, b, places)
	})
}

// What a person writes as gross and tare comes back exactly: net and tare make
// up the gross, in the decimals of the finer of the two.
func TestNetAndTareMakeUpTheGross(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 11))
	for range 20_000 {
		dg, dt := r.IntN(5), r.IntN(5)
		gross := strconv.FormatFloat(r.Float64()*500, 'f', dg, 64)
		tare := strconv.FormatFloat(r.Float64()*500, 'f', dt, 64)
		x, _ := strconv.ParseFloat(gross, 64)
		y, _ := strconv.ParseFloat(tare, 64)
		_, net := difference(x, y, max(dg, dt))
		n, ok := new(big.Rat).SetString(net)
		g, _ := new(big.Rat).SetString(gross)
		b, _ := new(big.Rat).SetString(tare)
		if !ok || n.Add(n, b).Cmp(g) != 0 {
			t.Fatalf("%s − %s: %s", gross, tare, net)
		}
		if _, frac, _ := strings.Cut(net, "."); len(frac) != max(dg, dt) {
			t.Fatalf("%s − %s: %s", gross, tare, net)
		}
	}
}

func TestSameLabel(t *testing.T) {
	names := []string{"", " ", "B 12", "b12", "B12 ", "Scale 60 g", "scale60G", "SCALE\u00a060g", "É", "é", "x", "xx", "\xff", "\ufffd"}
	for _, a := range names {
		for _, b := range names {
			if got, want := sameLabel(a, b), labelKey(a) == labelKey(b); got != want {
				t.Errorf("%q and %q: %t, want %t", a, b, got, want)
			}
		}
	}
}

// A summary that goes on is judged by all of its tares.
func TestTareSummaryGoesOn(t *testing.T) {
	var sum TareSummary
	c := &record.Capture{Weighing: &record.Weighing{Way: record.SameRow, Tare: &record.Reading{Series: &record.Series{}, Number: 50, Decimals: 1, Text: "50.0"}}}
	for range 6 {
		sum.Add(5)
	}
	if len(JudgeTare(c, sum, Settings{})) != 1 {
		t.Error("a tare far from the others was not found")
	}
	for range 60 {
		sum.Add(50)
	}
	if fs := JudgeTare(c, sum, Settings{}); len(fs) != 0 {
		t.Errorf("%+v", fs)
	}
}
