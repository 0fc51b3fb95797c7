package wording

import (
	"testing"

	"spadefoot/pipeline/record"
)

// What a text stands for is found once, as long as its number stays its own.
func TestKnown(t *testing.T) {
	var lengths Known[int]
	asked := 0
	for _, tt := range []struct {
		text        string
		word        uint32
		want, asked int
	}{
		{"pond", 3, 4, 1},
		{"pond", 3, 4, 1},
		{"marsh", 0, 5, 2},
		{"marsh", 0, 5, 3},
		{"creek side", 9, 10, 4},
		{"pond", 3, 4, 4},
		{"creek", 3, 5, 5}, // of another store
		{"pond", 3, 4, 6},
		{"", 0, 0, 7},
	} {
		v := record.Value{Text: tt.text, Word: tt.word}
		got := lengths.Of(&v, func(text string) int {
			asked++
			return len(text)
		})
		if got != tt.want || asked != tt.asked {
			t.Errorf("%q as %d: %d after %d questions, want %d after %d", tt.text, tt.word, got, asked, tt.want, tt.asked)
		}
	}
}
