package quantity

import (
	"errors"
	"math"
	"math/big"
	"math/rand"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"spadefoot/pipeline/record"
)

func TestIn(t *testing.T) {
	for _, c := range []struct {
		text, unit string
		value      float64
		decimals   int
		want       string
	}{
		{"71 mm", "mm", 71, 0, "71"},
		{"71.0 mm", "mm", 71, 1, "71.0"},
		{"7.1 cm", "mm", 71, 0, "71"},
		{"7.10 cm", "mm", 71, 1, "71.0"},
		{"3 in", "mm", 76.2, 0, "76.2"}, // step 25.4 mm, nearest power 10 mm
		{"1 in", "mm", 25.4, 0, "25.4"},
		{"2.8 in", "mm", 71.12, 1, "71.12"},           // step 2.54 mm, nearest power 1 mm
		{"2.80 in", "mm", 71.12, 2, "71.12"},          // step 0.254 mm
		{"3 5/16 in", "mm", 84.1375, 1, "84.1375"},    // step 1.5875 mm
		{`1'11"`, "cm", 58.42, 1, "58.42"},            // step 2.54 cm, nearest power 1 cm
		{"1/2 oz", "g", 14.1747615625, 0, "14.17476"}, // step 14.2 g, nearest power 10 g
		{"1/8 oz", "g", 3.543690390625, 1, "3.54369"}, // step 3.54 g: 10 g is more than twice as much
		{"0.5 oz", "g", 14.1747615625, 1, "14.17476"}, // step 2.83 g
		{"1 oz", "g", 28.349523125, 0, "28.34952"},    // step 28.3 g, nearest power 10 g
		{"1 lb", "g", 453.59237, -1, "453.5924"},      // step 453.6 g: 1000 g is more than twice as much
		{"1.0 lb", "g", 453.59237, 0, "453.5924"},     // step 45.4 g: 100 g is more than twice as much
		{"2 5/8 in", "mm", 66.675, 1, "66.675"},       // step 3.175 mm
		{"1/8 in", "mm", 3.175, 1, "3.175"},
		{"33 g", "kg", 0.033, 3, "0.033"}, // a power of ten: the digits stay
		{"2.50 kg", "g", 2500, -1, "2500"},
		{"212 [degF]", "Cel", 100, 1, "100.0"},
		{"98.6 °F", "Cel", 37, 2, "37.00"},
		{"-40 °F", "Cel", -40, 1, "-40.0"},
		{"0 °C", "K", 273.15, 0, "273"},
		{"0.00 °C", "K", 273.15, 2, "273.15"},
		{"90 min", "h", 1.5, 3, "1.500"},
		{"<0.5 in", "mm", 12.7, 1, "12.7"},
		{"40-42 mm", "cm", 4.1, 1, "4.0-4.2"},
		{"40-42 in", "mm", 1041.4, 0, "1016-1066.8"},
		{"3/4 in", "[in_i]", 0.75, 2, "0.75"},
	} {
		o := Options{}
		if c.text == "212 [degF]" {
			c.text, o.Unit = "212", "[degF]"
		}
		value, decimals, text, err := Parse(c.text, o).In(c.unit)
		if err != nil || value != c.value || decimals != c.decimals || text != c.want {
			t.Errorf("%s in %s: %v %d %q %v, want %v %d %q", c.text, c.unit, value, decimals, text, err, c.value, c.decimals, c.want)
		}
	}
}

// Among sixteenths a half is 8/16 and a whole number 0/16.
func TestInWithTheColumnsPart(t *testing.T) {
	var e Evidence
	for _, s := range []string{"2 5/8", "2 1/2", "3", "1 3/16", "c. 2", "5/16/87", "lost"} {
		e.Add(s)
	}
	if e.Part() != 1.0/16 {
		t.Fatalf("part %v", e.Part())
	}
	o := Options{Unit: "[in_i]", Part: e.Part()}
	for _, c := range []struct{ text, mm, own string }{
		{"2 5/8", "66.675", "2.63"}, {"2 1/2", "63.5", "2.50"}, {"3", "76.2", "3.00"}, {"c. 2", "50.8", "2.00"}, {"2 in", "50.8", "2.00"}, {"3.0", "76.2", "3.0"},
		{"60 mm", "60", "2.362205"},
	} {
		q := Parse(c.text, o)
		_, _, mm, err := q.In("mm")
		_, _, own, err2 := q.In("[in_i]")
		if mm != c.mm || own != c.own || err != nil || err2 != nil {
			t.Errorf("%s: %q mm, %q in, want %q and %q", c.text, mm, own, c.mm, c.own)
		}
	}
	if _, _, g, _ := Parse("2", Options{Unit: "g", Part: 1.0 / 16}).In("g"); g != "2" {
		t.Errorf("grams are not read to sixteenths: %q", g)
	}
}

func TestInErrors(t *testing.T) {
	if _, _, _, err := Parse("n/a", Options{}).In("mm"); !errors.Is(err, ErrNoNumber) {
		t.Error(err)
	}
	if _, _, _, err := Parse("frog", Options{}).In("mm"); !errors.Is(err, ErrNoNumber) {
		t.Error(err)
	}
	var u *UnitError
	if _, _, _, err := Parse("5 g", Options{}).In("mm"); !errors.As(err, &u) || u.From != "g" || u.To != "mm" {
		t.Error(err)
	}
}

func TestReading(t *testing.T) {
	r, err := Parse("2.8 ± 0.1 in (wet)", Options{}).Reading("mm", "2.8 ± 0.1 in (wet)")
	want := record.Reading{Series: &record.Series{Unit: "mm", WrittenUnit: "[in_i]"}, State: record.Measured, Number: 71.12, Decimals: 1, Text: "71.12", Verbatim: "2.8 ± 0.1 in (wet)", Rare: &record.Rare{Low: 68.58, High: 73.66, Remark: "wet"}}
	if d := cmp.Diff(want, r); err != nil || d != "" {
		t.Error(err, d)
	}
	r, err = Parse("escaped", Options{Unit: "mm"}).Reading("mm", "escaped")
	if err != nil || r.State != record.Missing || r.Text != "" || r.Remark() != "escaped" {
		t.Errorf("%+v %v", r, err)
	}
}

// A number is not moved by a conversion, its text shows a place between a
// fiftieth and a fifth of the step it was written with (the place itself where
// the units differ by a power of ten), and that text, read and brought back,
// gives what was written.
func TestConvertKeepsPrecision(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	lengths := []string{"mm", "cm", "m", "[in_i]", "[ft_i]", "um"}
	for range 3000 {
		q := Quantity{Unit: lengths[rng.Intn(len(lengths))], Decimals: rng.Intn(4)}
		q.Step = math.Pow10(-q.Decimals)
		q.Number = tidy(rng.Float64()*500, q.Decimals)
		to := lengths[rng.Intn(len(lengths))]
		c, err := q.Convert(to)
		if err != nil {
			t.Fatal(err)
		}
		f, _ := Factor(q.Unit, to)
		exact, _ := new(big.Rat).Mul(f, exact(q.Number, q.Decimals, false)).Float64()
		if c.Number != exact {
			t.Fatalf("%s to %s: %v, exactly %v", q, to, c.Number, exact)
		}
		r := math.Pow10(-c.Decimals) / c.Step
		if _, ten := powerOfTen(f); ten && math.Abs(r-1) > 1e-9 || !ten && (r <= 1/50.1 || r > 0.201) {
			t.Fatalf("%s to %s: %s has a place of %v steps", q, to, c.text(), r)
		}
		for _, back := range []Quantity{c, Parse(c.text(), Options{Decimal: '.', Unit: to})} {
			if b, err := back.Convert(q.Unit); err != nil || rounded(b.Number, q.Decimals) != q.text() {
				t.Fatalf("%s to %s: %s comes back as %v %v", q, to, c.text(), b.Number, err)
			}
		}
	}
}

// What String writes is read back the same.
func TestRoundTrip(t *testing.T) {
	rng := rand.New(rand.NewSource(2))
	var codes []string
	for c, u := range units().codes {
		if u.display != "" {
			codes = append(codes, c)
		}
	}
	slices.Sort(codes)
	states := []record.State{record.Measured, record.Doubtful, record.Below, record.Above, record.Interval}
	for range 5000 {
		q := Quantity{State: states[rng.Intn(len(states))], Decimals: rng.Intn(4), UnitWritten: true, Unit: codes[rng.Intn(len(codes))]}
		q.Step = math.Pow10(-q.Decimals)
		q.Number = tidy(rng.Float64()*300, q.Decimals)
		switch {
		case q.State == record.Interval:
			q.Low, q.High = q.Number, tidy(q.Number+rng.Float64()*10, q.Decimals)
			q.Number = tidy((q.Low+q.High)/2, q.Decimals+1)
		case q.State == record.Measured && rng.Intn(3) == 0:
			q.Half = 0.5
			d := max(q.Decimals, 1)
			q.Low, q.High = tidy(q.Number-q.Half, d), tidy(q.Number+q.Half, d)
		}
		got := Parse(q.String(), Options{Decimal: '.'})
		if d := cmp.Diff(q, got, cmpopts.IgnoreUnexported(Quantity{}), cmpopts.IgnoreFields(Quantity{}, "Problems")); d != "" {
			t.Fatalf("%q:\n%s", q.String(), d)
		}
	}
}
