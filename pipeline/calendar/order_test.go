package calendar

import (
	"math/rand"
	"testing"
)

func TestEvidence(t *testing.T) {
	for _, c := range []struct {
		name      string
		cells     []string
		fallback  Order
		order     Order
		ambiguous int
	}{
		{"one day over twelve decides", []string{"03/06/2021", "25/06/2021", "", "n/a"}, Unknown, DMY, 0},
		{"one second number over twelve decides", []string{"03/06/21", "06/25/21"}, Unknown, MDY, 0},
		{"the evidence beats the fallback", []string{"03/06/2021", "25/06/2021"}, MDY, DMY, 0},
		{"nothing decides", []string{"03/06/2021", "04/05/2021", "06/06/2021"}, Unknown, Unknown, 2},
		{"the fallback decides", []string{"03/06/2021", "04/05/2021"}, MDY, MDY, 0},
		{"both kinds", []string{"25/06/2021", "06/25/2021", "03/06/2021"}, Unknown, Unknown, 1},
		{"both kinds, and a fallback", []string{"25/06/2021", "06/25/2021", "03/06/2021"}, DMY, DMY, 1},
		{"years first", []string{"2021-06-03", "2021/6/25"}, Unknown, YMD, 0},
		{"short years first", []string{"87-06-25", "02-03-04"}, Unknown, YMD, 0},
		{"a leading year that never changes", []string{"21-06-03", "21-06-15", "21-07-01"}, Unknown, YMD, 0},
		{"a last year that never changes", []string{"21-06-03", "15-06-03", "21-07-03"}, Unknown, DMY, 0},
		{"times do not disturb", []string{"25/06/2021 21:30", "3 Jun 2021 21:30"}, Unknown, DMY, 0},
		{"alike in both orders", []string{"06/06/2021"}, Unknown, Unknown, 0},
		{"no dates", []string{"frog", "12.5", ""}, Unknown, Unknown, 0},
	} {
		var e Evidence
		for _, s := range c.cells {
			e.Add(s)
		}
		if order, n := e.Decide(c.fallback); order != c.order || n != c.ambiguous {
			t.Errorf("%s: %v and %d, want %v and %d", c.name, order, n, c.order, c.ambiguous)
		}
	}
}

func TestEvidenceMerge(t *testing.T) {
	cells := []string{"25/06/2021", "06/25/2021", "03/06/2021", "2021-06-03", "87-06-25", "06/06/2021", "frog"}
	rng := rand.New(rand.NewSource(1))
	for range 200 {
		var whole, left, right Evidence
		for range rng.Intn(30) {
			s := cells[rng.Intn(len(cells))]
			whole.Add(s)
			if rng.Intn(2) == 0 {
				left.Add(s)
			} else {
				right.Add(s)
			}
		}
		right.Merge(left)
		if right != whole {
			t.Fatalf("merged %+v, whole %+v", right, whole)
		}
	}
}

func TestParseOrder(t *testing.T) {
	for _, o := range []Order{Unknown, DMY, MDY, YMD} {
		if ParseOrder(o.String()) != o {
			t.Errorf("%v does not come back", o)
		}
	}
}

// The usual form is counted as if it were taken apart.
func TestEvidenceOfPlainDates(t *testing.T) {
	for _, text := range []string{"2021-06-03", "1500-01-01", "2199-12-31", "2021-13-03", "0099-06-03", "2200-01-01", "2021-02-29"} {
		var e, full Evidence
		e.Add(text)
		full.any(clean(text))
		if e != full {
			t.Errorf("%q: %+v, taken apart %+v", text, e, full)
		}
	}
}
