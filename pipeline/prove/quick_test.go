package prove

import (
	"math"
	"strings"
	"testing"
)

// quickTexts are values as they are written, good and bad, for every check.
var quickTexts = strings.Fields(`0 -0 +5 5 05 91 -91 180.0001 45.1040 -78.13600000000001 .5 5. . - + 1e5 1E-3 1e999 1,5 0x10 Inf NaN 1_000
	123456789012345 1234567890123456 0.1 0.30000000000000004 9007199254740993 2147483647 2147483648 -9999 10000 366 367 12 13 00000000012
	<0.5 >60 <-3 40-42 -5--3 40-42-44 40- -40 <5. >.5 <
	2021-06-12 2021-02-29 2020-02-29 1900-02-29 2000-02-29 0000-01-01 2021-13-01 2021-00-10 2021-06-31 2021-6-12 2021-06 2021 2021-163
	2021-06-12T21:00 2021-06-12T21:00:30 2021-06-12T21:00:30Z 2021-06-12T21:00-06:30 2021-06-12T24:00 2021-06-12T21:60 2021-06-12T21:00+15:00
	2021-06-12T21:00:60 2021-06-12T21:00+14:59 2021-06-12T2100 2021-06-12/13 2021-06-12T 2021-06-12x 2021-06-12T21:00:3 14:07 14:07:30Z 24:00 7:30 14:07:30.5
	http://example.org https://example.org/a/b-c_d~e http:// https:///a http://a..b/ http://a:b/ http://exa_mple.org ftp://a.b https://example.org/a?b=c
	http://example.org/%zz http://[::1]/ example.org {"a":1} {"a" {} {a x CA en en-GB present absent HumanObservation Event`)

// holdQuick fails where a quick check accepts what the full one does not.
func holdQuick(t *testing.T, text string) {
	t.Helper()
	if text == "" {
		return
	}
	for name, c := range checks {
		if c.quick == nil || !c.quick([]byte(text)) {
			continue
		}
		if f := c.full(text); f != nil {
			t.Errorf("%s: %q is accepted at once, and is at fault: %s", name, text, f.reason)
		}
	}
	if plainNumeric([]byte(text)) && !numeric(text) {
		t.Errorf("%q is taken for a measurement", text)
	}
	if got, ok := plainDecimal([]byte(text)); ok {
		if want, good := decimal(text); !good || math.Float64bits(got) != math.Float64bits(want) {
			t.Errorf("%q reads %v, want %v, %v", text, got, want, good)
		}
	}
}

// TestQuick holds the quick checks against the full ones, and expects that they
// accept what is usual, since they would be useless otherwise.
func TestQuick(t *testing.T) {
	for _, text := range quickTexts {
		holdQuick(t, text)
	}
	for term, text := range map[string]string{"decimalLatitude": "45.1040", "year": "2015", "eventDate": "2015-09-20", "measurementAccuracy": "0.1",
		"eventTime": "21:00", "references": "https://example.org/a", "dynamicProperties": `{"a": 1}`, "modified": "2021-06-12T21:00:30Z"} {
		if !checks[term].quick([]byte(text)) {
			t.Errorf("%s: %q is not accepted at once", term, text)
		}
	}
	for _, text := range []string{"67.4", "<0.5", ">60", "40-42", "-3"} {
		if !plainNumeric([]byte(text)) {
			t.Errorf("the measurement %q is not accepted at once", text)
		}
	}
}

func FuzzQuick(f *testing.F) {
	for _, text := range quickTexts {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) { holdQuick(t, text) })
}

// TestDated holds the quick comparison of a date with its parts against the
// full one.
func TestDated(t *testing.T) {
	dates := []string{"", "2021-06-12", "2021-06", "2021", "2021-06-12/13", "2021-06-12T21:00", "2021-12-31T23:00-06:00", "2021-12-31/2022-01-02", "12.6.2021", "2021-06-31"}
	years, months, days := []string{"", "2021", "2022", "02021", "21", "x"}, []string{"", "6", "06", "7", "x"}, []string{"", "12", "13", "+12"}
	var cols []column
	for i, name := range []string{"eventDate", "year", "month", "day"} {
		cols = append(cols, column{field: field{index: i}, name: name})
	}
	e := &entity{separator: ",", encoding: "UTF-8", id: -1}
	j := (&table{prover: &prover{}, entity: e, cols: cols}).judge(nil)
	for range 2 { // the second time from memory
		for _, row := range product(dates, years, months, days) {
			j.in = textReaderOf(append(make([]byte, 0, 100), strings.Join(row, ",")...), e)
			if _, err := j.in.next(); err != nil {
				t.Fatal(err)
			}
			want := true
			dateParts(j.get, func(string, fault) { want = false })
			if got := j.dated(); got != want {
				t.Errorf("%q fits: %v, want %v", row, got, want)
			}
		}
	}
}

// product returns every choice of one text from each list.
func product(lists ...[]string) [][]string {
	out := [][]string{nil}
	for _, list := range lists {
		var longer [][]string
		for _, row := range out {
			for _, text := range list {
				longer = append(longer, append(row[:len(row):len(row)], text))
			}
		}
		out = longer
	}
	return out
}
