package sheet

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
)

func TestPlainNumber(t *testing.T) {
	for _, test := range []struct {
		v    float64
		want string
	}{
		{0, "0"}, {math.Copysign(0, -1), "0"}, {57.5, "57.5"}, {0.1 + 0.2, "0.3"}, {1.1 * 3, "3.3"}, {-3.25, "-3.25"},
		{985112004567890, "985112004567890"}, {985112004567890123, "985112004567890000"}, {1e20, "100000000000000000000"},
		{1e21, "1e+21"}, {0.000025, "0.000025"}, {2.5e-7, "2.5e-07"}, {1.0 / 3, "0.333333333333333"}, {math.Inf(1), "+Inf"},
	} {
		if got := plainNumber(test.v); got != test.want {
			t.Errorf("%v: got %s, want %s", test.v, got, test.want)
		}
	}
}

// TestPlainNumberKeepsDecimals holds what people write: up to 15 digits come
// back as they were.
func TestPlainNumberKeepsDecimals(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 20_000 {
		decimals := rng.IntN(5)
		s := strconv.FormatFloat(float64(1+rng.IntN(1_000_000))+rng.Float64(), 'f', decimals, 64)
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		f := numberFormat{decimals: decimals}
		if got := f.text(v); got != s {
			t.Fatalf("%s came back as %s", s, got)
		}
	}
}

func TestNumberFormats(t *testing.T) {
	for _, test := range []struct {
		code string
		v    float64
		want string
	}{
		{"General", 57.5, "57.5"}, {"", 57.5, "57.5"}, {"@", 42, "42"}, {"0", 57, "57"}, {"0.00", 57.5, "57.50"}, {"0.0", 57.46, "57.46"},
		{"0000", 42, "0042"}, {"00000", -42, "-00042"}, {"#,##0.00", 1234.5, "1234.50"}, {"#,##0", 1234, "1234"}, {"# ##0", 1234, "1234"},
		{"0%", 0.83, "83%"}, {"0.0%", 0.07, "7.0%"}, {"0%", 0.145, "14.5%"}, {"0.00E+00", 1234, "1234"}, {"# ?/?", 0.5, "0.5"},
		{`0.0" g"`, 31.2, "31.2 g"}, {`0\ "mm"`, 57, "57 mm"}, {`0.0" °C"`, 18.5, "18.5 °C"}, {`"SVL "0.0`, 57, "57.0"},
		{`0.00_);[Red]\(0.00\)`, -3.5, "-3.50"}, {`0.0##`, 1.25, "1.25"}, {"#.#", 0.5, "0.5"}, {"0.0,", 1234, "1234"}, {`000\-0000`, 123456, "123456"},
		{`[$€-407]0.00`, 5, "5.00"}, {`0.00 [$kg-409]`, 5, "5.00"}, {"[Blue]0.0", 5, "5.0"}, {`#" g"`, 5, "5 g"}, {`0"kg per frog and day"`, 5, "5"},
		{"0.0", 1e22, "1e+22"}, {"\"unclosed", 5, "5"}, {"[unclosed", 5, "5"}, {"\\", 5, "5"},
	} {
		f := parseFormat(test.code)
		if f.date.any() {
			t.Errorf("%s is taken for a date", test.code)
		}
		if got := f.text(test.v); got != test.want {
			t.Errorf("%s of %v: got %q, want %q", test.code, test.v, got, test.want)
		}
	}
}

func TestDateFormats(t *testing.T) {
	for _, test := range []struct {
		code   string
		serial float64
		d1904  bool
		want   string
	}{
		{"yyyy-mm-dd", 44291, false, "2021-04-05"}, {"d/m/yy", 44291, false, "2021-04-05"}, {"[$-809]dd mmmm yyyy;@", 44291, false, "2021-04-05"},
		{"dd.mm.yyyy hh:mm", 44291.3125, false, "2021-04-05T07:30"}, {"dd.mm.yyyy hh:mm:ss", 44291.3125, false, "2021-04-05T07:30:00"},
		{"yyyy-mm-dd", 44291.3125, false, "2021-04-05T07:30"}, {"hh:mm", 0.3125, false, "07:30"}, {"h:mm AM/PM", 0.8125, false, "19:30"},
		{"h:mm:ss", 0.3125, false, "07:30:00"}, {"hh:mm", 44291.3125, false, "2021-04-05T07:30"}, {"hh:mm", 0.3125, true, "07:30"},
		{"mm:ss.0", 0.000150462963, false, "00:00:13"}, {"[h]:mm", 1.1041666666666667, false, "26:30"}, {"[mm]:ss", 0.0625, false, "01:30:00"},
		{"mmm yyyy", 44287, false, "2021-04"}, {"mmm yyyy", 44291, false, "2021-04-05"}, {"d mmm", 44291, false, "2021-04-05"}, {"yyyy", 44197, false, "2021-01-01"},
		// The day that never was, and those before it (ECMA-376 Part 1, 18.17.4.1).
		{"yyyy-mm-dd", 1, false, "1900-01-01"}, {"yyyy-mm-dd", 59, false, "1900-02-28"}, {"yyyy-mm-dd", 60, false, "1900-02-29"}, {"yyyy-mm-dd", 61, false, "1900-03-01"},
		{"yyyy-mm-dd", 0, false, "1900-01-00"}, {"yyyy-mm-dd", 0, true, "1904-01-01"}, {"yyyy-mm-dd", 1, true, "1904-01-02"}, {"yyyy-mm-dd", 42829, true, "2021-04-05"},
		{"yyyy-mm-dd", 2958465, false, "9999-12-31"}, {"yyyy-mm-dd", 44291.9999999999, false, "2021-04-06"}, {"yyyy-mm-dd hh:mm:ss.000", 44291.000011574, false, "2021-04-05T00:00:01"},
	} {
		f := parseFormat(test.code)
		got, ok := serialText(test.serial, f.date, test.d1904)
		if !f.date.any() || !ok || got != test.want {
			t.Errorf("%s of %v: got %q, want %q", test.code, test.serial, got, test.want)
		}
	}
	for _, v := range []float64{-1, 2958466, math.NaN(), math.Inf(1), 1e300} {
		if got, ok := serialText(v, dateParts{year: true, month: true, day: true}, false); ok {
			t.Errorf("%v is not a date, got %q", v, got)
		}
	}
}

func TestBuiltinFormats(t *testing.T) {
	m := builtinFormats()
	dates := 0
	for id, code := range m {
		if parseFormat(code).date.any() {
			dates++
			if id < 14 || id > 58 || id > 22 && id < 27 || id > 36 && id < 45 {
				t.Errorf("format %d (%s) is taken for a date", id, code)
			}
		}
	}
	if dates != 9+10+3+9 {
		t.Errorf("got %d date formats of %d", dates, len(m))
	}
}

func TestScientific(t *testing.T) {
	for s, want := range map[string]bool{
		"9.85112E+14": true, "-9.85E+14": true, "9,85112E+14": true, "1.23E+11": true, "1.5E+05": false, "9.85112004567890E+14": false,
		"E+14": false, "9E+14": false, "9.E+14": false, "A.85E+14": false, "9.8x112E+14": false, "9.85112e+14": false, "9.85E+1x": false, "MC-E+14": false,
	} {
		if got := len(s) >= 6 && scientific(s); got != want {
			t.Errorf("%s: got %v", s, got)
		}
	}
}
