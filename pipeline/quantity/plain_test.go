package quantity

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

func plainColumns() []Options {
	var out []Options
	for _, decimal := range []byte{0, '.', ','} {
		for _, unit := range []string{"", "mm", "g", "[in_i]", "Cel"} {
			for _, want := range []string{"", "length", "mass", "1"} {
				for _, zero := range []bool{false, true} {
					for _, part := range []float64{0, 0.0625} {
						out = append(out, Options{Decimal: decimal, Unit: unit, Want: want, ZeroMissing: zero, NotZero: want == "length", NotNegative: want == "length", Part: part})
					}
				}
			}
		}
	}
	return out
}

// sameAsParse holds what is read plain against what Parse reads.
func sameAsParse(t *testing.T, text string, o Options) bool {
	t.Helper()
	number, decimals, ok := NewColumn(o).Plain(text)
	if !ok {
		return false
	}
	q := Parse(text, o)
	got, err := q.Reading(o.Unit, text)
	want := got
	want.Number, want.Decimals, want.Text = number, decimals, text
	want.Vary(func(s *record.Series) { s.WrittenUnit = o.Unit })
	if err != nil || !q.Usable() || len(q.Problems) > 0 || q.Second != nil || q.Remark != "" || q.Half != 0 || !reflect.DeepEqual(got, want) {
		t.Errorf("%q with %+v: %+v, %v, read plain as %v with %d decimals", text, o, q, err, number, decimals)
	}
	return true
}

func TestPlainReadsAsParse(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 3))
	texts := []string{"0", "0.0", "00", "007", "1", "999.9", "9999", "9999.99", "99.9", "12.", ".5", "1.234", "0.123", "1234.567", "1.5", "", ".", "..",
		"123456789.123456", "1234567890", "999999999999999", "0.00000000000001", "0.000000000000001", "12 ", "-1", "1e5"}
	for range 300 {
		texts = append(texts, fmt.Sprintf("%.*f", r.IntN(5), r.Float64()*1000))
	}
	plain := 0
	for _, o := range plainColumns() {
		for _, text := range texts {
			if sameAsParse(t, text, o) {
				plain++
			}
		}
	}
	if plain < 10_000 {
		t.Errorf("only %d cells were read plain", plain)
	}
}

func FuzzPlain(f *testing.F) {
	for i, text := range []string{"57.5", "0.125", "9999", "12", "1.234"} {
		f.Add(text, i)
	}
	columns := plainColumns()
	f.Fuzz(func(t *testing.T, text string, i int) {
		sameAsParse(t, text, columns[uint(i)%uint(len(columns))])
		evidenceOfPlain(t, text)
	})
}

// evidenceOfPlain holds the evidence of a plain cell against that of any.
func evidenceOfPlain(t *testing.T, text string) {
	t.Helper()
	var e, full Evidence
	e.Add(text)
	full.any(clean(text))
	if e != full {
		t.Errorf("%q: %+v, in full %+v", text, e, full)
	}
}

func TestEvidenceOfPlainCells(t *testing.T) {
	for _, text := range []string{"57.5", "1.234", "0.123", ".5", "5.", "12", "1234.567", "0", "", "1.2.3", "1,234", "3 5/16", "12.5 mm"} {
		evidenceOfPlain(t, text)
	}
}

func BenchmarkPlain(b *testing.B) {
	c := NewColumn(Options{Unit: "mm", Want: "length"})
	for b.Loop() {
		c.Plain("57.5")
	}
}

// What is passed over as a text that says something is found to be none of the
// words for nothing taken.
func TestMayBeMissing(t *testing.T) {
	table := missing()
	words := []string{"toe clipped", "in reeds, calling", "MC-0001", "OB3", "no", "no tag", "(n/a)", "*n.a.*", "N / A", "[not taken]", "'-'", "escaped, wet", "x"}
	for w := range table.words {
		words = append(words, w, "("+w+")", w+" before weighing", "\""+w+"\", wet", " ;"+w, w+".", w+"*", ":"+w+": x")
	}
	skipped := 0
	for _, w := range words {
		for _, s := range []string{w, strings.ToUpper(w)} {
			if s = clean(s); s == "" || isDigit(rune(s[0])) || table.mayBe(s) {
				continue
			}
			skipped++
			if kind, _ := table.kindOf(s); kind != "" {
				t.Errorf("%q is %s", s, kind)
			}
		}
	}
	if skipped < 8 {
		t.Errorf("only %d texts were passed over", skipped)
	}
}

func FuzzMayBeMissing(f *testing.F) {
	f.Add("in reeds, calling")
	f.Add("(not taken)")
	f.Fuzz(func(t *testing.T, text string) {
		s := clean(text)
		if s == "" || isDigit(rune(s[0])) || missing().mayBe(s) {
			return
		}
		if kind, _ := missing().kindOf(s); kind != "" {
			t.Errorf("%q is %s", s, kind)
		}
	})
}
