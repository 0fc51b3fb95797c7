package lines

import (
	"bytes"
	"encoding/csv"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// oddTexts are cells that a writer of CSV can trip over.
var oddTexts = []string{"", " ", " a", "a ", "a,b", `a"b`, `"`, `""`, "a\nb", "a\r\nb", "\r", `\.`, `\.x`, "\t", "\v", "\u00a0x", "\u0085", "\u2028", "\u3000a", "é", "57,5 µm",
	"<b>&amp;</b>", "a\\b", "\x00\x01\x1f\x7f", "\xff\xfe", "𝔸", strings.Repeat("x", 300)}

func TestFieldsAreThoseOfEncodingCSV(t *testing.T) {
	fields := slices.Clone(oddTexts)
	draw := rand.New(rand.NewPCG(4180, 1))
	letters := []rune("ab,\"\n\r \t\\.é\u00a0")
	for range 2000 {
		var b strings.Builder
		for range draw.IntN(6) {
			b.WriteRune(letters[draw.IntN(len(letters))])
		}
		fields = append(fields, b.String())
	}
	for n := range 18 { // every byte at every place
		for i := range n * 256 {
			text := bytes.Repeat([]byte("x"), n)
			text[i/256] = byte(i)
			fields = append(fields, string(text))
		}
	}
	for _, f := range fields {
		var want bytes.Buffer
		w := csv.NewWriter(&want)
		_ = w.Write([]string{"x", f})
		w.Flush()
		if got := string(AppendField([]byte("x,"), f)) + "\n"; got != want.String() {
			t.Errorf("%q: %q, want %q", f, got, want.String())
		}
		if got := string(AppendField([]byte("x,"), []byte(f))) + "\n"; got != want.String() {
			t.Errorf("%q as bytes: %q, want %q", f, got, want.String())
		}
	}
}
