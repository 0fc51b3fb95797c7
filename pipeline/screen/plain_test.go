package screen

import (
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"testing"
)

// plainNumber finds what the expression finds that says it shortly.
func TestPlainNumber(t *testing.T) {
	short := regexp.MustCompile(`\d+(?:[.,]\d+)?|[.,]\d+`)
	draw := rand.New(rand.NewPCG(4, 5))
	for range 5000 {
		text := make([]byte, draw.IntN(8))
		for i := range text {
			text[i] = "0179.,, cm-"[draw.IntN(11)]
		}
		if got, want := plainNumber(string(text)), short.FindString(string(text)); got != want {
			t.Fatalf("%q: %q, want %q", text, got, want)
		}
	}
}

// Numbers are read as strconv reads them, to the last bit.
func TestParseWritten(t *testing.T) {
	texts := []string{"", ".", ",", "5", "5.", ".5", "0,05", "12.5", "123456789012345", "1234567890.12345", "1234567890123456", "99999999999999999999", "1.2.3", "-5", "1e5", "x"}
	for n := range 2000 {
		text := strconv.Itoa(n * 7919)
		texts = append(texts, text[:len(text)/2]+"."+text[len(text)/2:], text[:1]+","+text[1:])
	}
	for _, text := range texts {
		got, want := parseWritten(text), parseAny(text)
		if math.Float64bits(got) != math.Float64bits(want) && !(got != got && want != want) {
			t.Errorf("%q: %v, want %v", text, got, want)
		}
	}
}
