package quantity

import (
	"testing"

	"spadefoot/pipeline/record"
)

func TestSubtraction(t *testing.T) {
	for text, want := range map[string][2]string{
		"12.5-2.1": {"12.5", "2.1"}, "98,5 - 22": {"98,5", "22"}, "24.5 g–4 g": {"24.5 g", "4 g"}, " 310-22 ": {"310", "22"},
		"12.5": {}, "-2.1": {}, "12-03-2021": {}, "a-2": {}, "": {},
	} {
		from, less, ok := Subtraction(text)
		if from != want[0] || less != want[1] || ok != (want[0] != "") {
			t.Errorf("%q: %q less %q, %v", text, from, less, ok)
		}
	}
}

// TestHeadingBeforeNumber has cells that say the heading of their column again.
func TestHeadingBeforeNumber(t *testing.T) {
	for _, c := range []struct {
		heading, text string
		want          float64 // 0 for none
	}{
		{"Bag", "bag 4.5", 4.5}, {"Bag (g)", "Bag: 4.5 g", 4.5}, {"SVL", "SVL 61", 61}, {"Bag", "4.5", 4.5},
		{"Bag", "no bag", 0}, {"Bag", "bags 4.5", 0}, {"Bag", "cup 4.5", 0}, {"L", "L 21", 0}, {"Bag", "bag", 0}, {"", "bag 4.5", 0},
	} {
		q := Parse(c.text, Options{Heading: c.heading, Decimal: '.'})
		if got := q.Number; q.Usable() != (c.want != 0) || q.Usable() && got != c.want {
			t.Errorf("%q under %q: %v %v, want %v", c.text, c.heading, q.State, got, c.want)
		}
	}
	if q := Parse("± 55", Options{}); q.State != record.Doubtful || q.Number != 55 {
		t.Errorf("%v %v", q.State, q.Number)
	}
}
