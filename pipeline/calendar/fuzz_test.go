package calendar

import (
	"testing"
	"unicode/utf8"
)

func FuzzParse(f *testing.F) {
	for _, s := range []string{
		"3 Jun 2021", "03/06/21", "3.vi.1987", "Winter 1987/88", "30 Jun - 2 Jul 2021", "2021-06-03T21:30-04:00",
		"44350.5", "1980s", "XX DEC 1932", "day 154, 2021", "[1987]", "mid-June 1987?", "3-5/6/1987", "3/6/2021 22:40-01:15",
	} {
		f.Add(s, uint8(1))
	}
	f.Fuzz(func(t *testing.T, s string, order uint8) {
		o := Options{Order: Order(order % 4), Hemisphere: 'N', Zone: nil}
		d := Parse(s, o)
		if (d.ISO == "") != (d.Precision == None) {
			t.Fatalf("%q: ISO %q with precision %v", s, d.ISO, d.Precision)
		}
		if d.ISO == "" {
			if !d.Missing && len(d.Problems) == 0 {
				t.Fatalf("%q: nothing read and nothing said", s)
			}
			return
		}
		if !d.Start.Valid() || !d.End.Valid() || d.End.Compare(d.Start) < 0 {
			t.Fatalf("%q: from %v to %v", s, d.Start, d.End)
		}
		again := Parse(d.ISO, Options{})
		if again.ISO != d.ISO && d.Precision != ToDecade {
			t.Fatalf("%q: %q comes back as %q", s, d.ISO, again.ISO)
		}
		if !utf8.ValidString(d.ISO) {
			t.Fatalf("%q: %q", s, d.ISO)
		}
		var e Evidence
		e.Add(s)
	})
}

func FuzzParseTime(f *testing.F) {
	for _, s := range []string{"21:30", "9.30 p.m.", "22:40-01:15", "0.8958", "2130 hrs", "midnight", "21h30?"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v := ParseTime(s)
		if v.ISO == "" {
			if !v.Missing && len(v.Problems) == 0 {
				t.Fatalf("%q: nothing read and nothing said", s)
			}
			return
		}
		if !v.Start.valid() || !v.End.valid() {
			t.Fatalf("%q: %+v", s, v)
		}
		if again := ParseTime(v.ISO); !again.Start.valid() || again.ISO != v.ISO && v.Offset == "" {
			t.Fatalf("%q: %q comes back as %q", s, v.ISO, again.ISO)
		}
		Join(Parse("2021-06-03", Options{}), v, nil)
	})
}
