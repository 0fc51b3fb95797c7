package quantity

import (
	"math"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

func FuzzParse(f *testing.F) {
	for _, s := range []string{
		"33g", "132 (scale not calibrated)", "57.5mm?", "3 5/16 in", `1'11"`, "1.234,5", "c. 40", "12.4 ± 0.2",
		"40–42 mm", "<0.5", "57 / 19 g", "12-May", "9.85E+14", "-999", "escaped before weighing", "1O.5 g", "12 milimetrs",
		"2 lb 3 oz", "1 234,5", "12.499999999999998", "½", "1e999", "#DIV/0!", "．５",
	} {
		f.Add(s, byte('.'))
	}
	f.Fuzz(func(t *testing.T, s string, mark byte) {
		if mark != '.' && mark != ',' {
			mark = 0
		}
		q := Parse(s, Options{Decimal: mark, Unit: "mm"})
		for p := &q; p != nil; p = p.Second {
			for _, v := range []float64{p.Number, p.Low, p.High, p.Half, p.Step} {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatalf("%q: %+v", s, q)
				}
			}
			if p.Remark != "" && strings.TrimSpace(p.Remark) == "" {
				t.Fatalf("%q: blank remark", s)
			}
		}
		if q.State == record.Unread && len(q.Problems) == 0 {
			t.Fatalf("%q: not read and nothing said", s)
		}
		if q.State == record.Interval && q.High < q.Low {
			t.Fatalf("%q: %+v", s, q)
		}
		if q.hasNumber() && q.Second == nil {
			again := Parse(q.String(), Options{Decimal: '.'})
			// past 15 digits a stored number does not hold them all: then the value has to agree to 12 digits, not its last ones
			long := digitsOf(q.text()) > 15
			if a, b := again.text(), q.text(); again.State != q.State || a != b && !(long && math.Abs(again.Number-q.Number) <= 1e-11*math.Abs(q.Number)) {
				t.Fatalf("%q: %q comes back as %v %q", s, q.String(), again.State, again.String())
			}
			if _, _, _, err := q.In("cm"); err != nil && Dimension(q.Unit) == "length" {
				t.Fatalf("%q: %v", s, err)
			}
		}
		var e Evidence
		e.Add(s)
	})
}

func FuzzHeadingUnit(f *testing.F) {
	for _, s := range []string{"SVL (mm)", "Wt./g", "Mass (g, with bag)", "svlMm", "Tag g", "SVL mm 2", "((", "[", "a/b/c"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		code, rest, ok := HeadingUnit(s)
		if ok != (code != "") || !ok && rest != "" {
			t.Fatalf("%q: %q %q %v", s, code, rest, ok)
		}
		if ok && Dimension(code) == "" {
			t.Fatalf("%q: %q is not a unit", s, code)
		}
	})
}

func digitsOf(text string) int {
	n := 0
	for _, r := range text {
		if isDigit(r) {
			n++
		}
	}
	return n
}
