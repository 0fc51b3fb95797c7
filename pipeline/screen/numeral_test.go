package screen

import (
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// A numeral is what the expression finds that says it shortly, and comes back as the
// same text.
func TestNumeralIn(t *testing.T) {
	short := regexp.MustCompile(`\d+(?:[.,]\d+)?|[.,]\d+`)
	draw := rand.New(rand.NewPCG(4, 5))
	for range 5000 {
		text := make([]byte, draw.IntN(8))
		for i := range text {
			text[i] = "0179.,, cm-"[draw.IntN(11)]
		}
		x, got := numeralIn(string(text)), ""
		if x.n > 0 {
			got = x.text()
		}
		if want := short.FindString(string(text)); got != want {
			t.Fatalf("%q: %q, want %q", text, got, want)
		}
	}
}

// Numbers are read as strconv reads them, to the last bit.
func TestNumeralValue(t *testing.T) {
	texts := []string{"5", ".5", "0,05", "12.5", "123456789012345", "1234567890.12345", "1234567890123456", "0.30000000000000004", "7.6999999999999993"}
	for n := range 2000 {
		text := strconv.Itoa(n*7919 + 10)
		texts = append(texts, text[:len(text)/2]+"."+text[len(text)/2:], text[:1]+","+text[1:])
	}
	for _, text := range texts {
		got := numeralIn(text).value()
		want, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
		if err != nil || math.Float64bits(got) != math.Float64bits(want) {
			t.Errorf("%q: %v, want %v", text, got, want)
		}
	}
	for _, text := range []string{"", ".", "x", "99999999999999999999"} {
		if got := numeralIn(text).value(); !math.IsNaN(got) {
			t.Errorf("%q: %v", text, got)
		}
	}
}

// respelt lists what a slip makes of a text.
func respelt(way func(numeral, func(numeral)), text string) (out []string) {
	way(numeralIn(text), func(x numeral) {
		if x.plausible() {
			out = append(out, x.text())
		}
	})
	return out
}

func TestRespelt(t *testing.T) {
	for _, c := range []struct {
		name string
		way  func(numeral, func(numeral))
		in   string
		want []string
	}{
		{"transposed", numeral.transposed, "54.2", []string{"45.2", "52.4"}},
		{"transposed", numeral.transposed, "7.4", []string{"4.7"}},
		{"transposed", numeral.transposed, "44", nil},
		{"transposed", numeral.transposed, "10.5", []string{"15.0"}}, // 01.5 is not what a person writes
		{"transposed", numeral.transposed, "0,4", []string{"4,0"}},
		{"misread", numeral.misread, "13", []string{"73", "43", "15", "18"}},
		{"one off", numeral.oneOff, "1.09", []string{"0.09", "2.09", "1.19"}},
		{"undoubled", numeral.undoubled, "55.66", []string{"5.66", "55.6"}},
		{"undoubled", numeral.undoubled, "555", []string{"55"}},
		{"undoubled", numeral.undoubled, "6.6", nil}, // 6. is not either
		{"completed", numeral.completed, "7,5", []string{"17,5", "27,5", "37,5", "47,5", "57,5", "67,5", "77,5", "87,5", "97,5",
			"70,5", "71,5", "72,5", "73,5", "74,5", "75,5", "76,5", "78,5", "79,5"}},
		{"completed", numeral.completed, ".5", []string{"0.5", "1.5", "2.5", "3.5", "4.5", "5.5", "6.5", "7.5", "8.5", "9.5"}},
	} {
		if got := respelt(c.way, c.in); !slices.Equal(got, c.want) {
			t.Errorf("%s, %s: %q, want %q", c.in, c.name, got, c.want)
		}
	}
}

// No plausible numeral with a digit more is smaller than leastCompleted.
func TestLeastCompleted(t *testing.T) {
	for _, text := range []string{"7,5", ".5", "0.4", "10", "100.25", "999", "54.2", "05.1", "123456789012345678"} {
		x, least := numeralIn(text), math.Inf(1)
		x.completed(func(y numeral) {
			if y.plausible() {
				least = min(least, y.value())
			}
		})
		if bound := x.leastCompleted(); least < bound {
			t.Errorf("%s: %v, below %v", text, least, bound)
		}
	}
}

func TestDigitsAreAlikeBothWays(t *testing.T) {
	for from, to := range alike {
		for _, d := range to {
			if !slices.Contains(alike[d], uint64(from)) {
				t.Errorf("%d is taken for %d but not the other way round", from, d)
			}
		}
	}
}
