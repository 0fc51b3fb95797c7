package terms_test

import (
	"testing"

	"spadefoot/pipeline/darwincore/terms"
)

func TestParseSpan(t *testing.T) {
	for _, c := range []struct{ text, first, last string }{
		{"2021", "2021-01-01", "2021-12-31"},
		{"2021-02", "2021-02-01", "2021-02-28"},
		{"2020-02-29", "2020-02-29", "2020-02-29"},
		{"2021-060", "2021-03-01", "2021-03-01"},
		{"2021-06-12T14:07", "2021-06-12", "2021-06-12"},
		{"2021-06-12T23:30-06:00", "2021-06-13", "2021-06-13"},
		{"2021-06-12T14:07:30.5Z", "2021-06-12", "2021-06-12"},
		{"2021-06-12T24:00", "2021-06-13", "2021-06-13"},
		// The examples of the published list of terms.
		{"1963-03-08T14:07-06:00", "1963-03-08", "1963-03-08"},
		{"2009-02-20T08:40Z", "2009-02-20", "2009-02-20"},
		{"1900/1909", "1900-01-01", "1909-12-31"},
		{"2007-11-13/15", "2007-11-13", "2007-11-15"},
		{"2007-03-01T13:00:00Z/2008-05-11T15:30:00Z", "2007-03-01", "2008-05-11"},
		{"2007-11-13T22:00/14T01:00", "2007-11-13", "2007-11-14"},
		{"2007-11-13T20:00/21:30", "2007-11-13", "2007-11-13"},
		{"2007-11-13/12-02", "2007-11-13", "2007-12-02"},
		{"2007-11/12", "2007-11-01", "2007-12-31"},
	} {
		s, err := terms.ParseSpan(c.text)
		if err != nil || s.First() != c.first || s.Last() != c.last {
			t.Errorf("ParseSpan(%q) = %s to %s, %v, want %s to %s", c.text, s.First(), s.Last(), err, c.first, c.last)
		}
	}
	for _, bad := range []string{"", "21-06-12", "2021-13", "2021-02-29", "2021-366", "2021-6-1", "12/06/2021", "2021-06-12 14:07",
		"2021-06T14:00", "2021-06-12T25:00", "2021-06-12T14:61", "2021/2020", "2021-06-12/", "/2021", "2021-06-12T14:00+15:00", "June 2021"} {
		if s, err := terms.ParseSpan(bad); err == nil {
			t.Errorf("ParseSpan(%q) = %v, want an error", bad, s)
		}
	}
}

func TestValidTime(t *testing.T) {
	for text, want := range map[string]bool{"14:07": true, "14:07:30Z": true, "08:00-06:00": true, "14": true, "20:00/21:30": true,
		"25:00": false, "2 pm": false, "": false, "20:00/": false} {
		if got := terms.ValidTime(text); got != want {
			t.Errorf("ValidTime(%q) = %v", text, got)
		}
	}
}

func FuzzParseSpan(f *testing.F) {
	for _, s := range []string{"2021", "2007-11-13/15", "2007-11-13T22:00/14T01:00", "2021-060", "/"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := terms.ParseSpan(text)
		if err == nil && s.Until.Before(s.From) {
			t.Errorf("%q ends before it begins: %v", text, s)
		}
	})
}
