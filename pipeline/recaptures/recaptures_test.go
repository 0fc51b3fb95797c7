package recaptures

import (
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// caught is a capture of a day and, if there is one, a time of day.
func caught(key, day, time string) *record.Capture {
	c := &record.Capture{Key: key, ID: "id-" + key, File: "marks.csv", Row: len(key) + 1}
	c.Set(record.Value{Field: record.Of("eventDate"), Text: day})
	c.Set(record.Value{Field: record.Of("eventTime"), Text: time})
	return c
}

func TestFollowing(t *testing.T) {
	for _, c := range []struct {
		name     string
		captures []*record.Capture
		want     string
	}{
		{"one", []*record.Capture{caught("a", "2024-05-01", "")}, ""},
		{"in the order of days", []*record.Capture{caught("b", "2024-05-02", ""), caught("c", "2025-05-01", ""), caught("a", "2024-05-01", "")}, "a-b b-c"},
		{"times part a day", []*record.Capture{caught("b", "2024-05-01", "23:10"), caught("a", "2024-05-01", "21:40")}, "a-b"},
		{"a day without times parts the chain", []*record.Capture{caught("a", "2024-05-01", ""), caught("b", "2024-05-02", ""), caught("c", "2024-05-02", ""), caught("d", "2024-05-03", ""), caught("e", "2024-05-04", "")}, "d-e"},
		{"a month is no day", []*record.Capture{caught("a", "2024-05", ""), caught("b", "2024-06-02", "")}, ""},
	} {
		var got []string
		var all []Caught
		for i, one := range c.captures {
			all = append(all, CaughtAs(one, i))
		}
		for _, p := range Following(all) {
			got = append(got, c.captures[p[0].Ordinal].Key+"-"+c.captures[p[1].Ordinal].Key)
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

func TestLink(t *testing.T) {
	a, b := caught("a", "2024-05-01", ""), caught("b", "2024-05-02", "")
	Link(b, Identifier(a))
	if got := b.Get(Term); got != `"recapture of":"id-a"` {
		t.Errorf("linked as %s", got)
	}
	a.Set(record.Value{Field: record.Of("occurrenceID"), Text: "own"})
	b.Set(record.Value{Field: record.Of(Term), Text: "in amplexus with F7"})
	Link(b, Identifier(a))
	if got := b.Get(Term); got != `in amplexus with F7 | "recapture of":"own"` {
		t.Errorf("linked as %s", got)
	}
}

func TestSaidIn(t *testing.T) {
	remark := func(term, text string) *record.Capture {
		c := caught("a", "2024-05-01", "")
		c.Set(record.Value{Field: record.Of("organismID"), Text: "H07"})
		c.Set(record.Value{Field: record.Of(term), Text: text})
		return c
	}
	remarks := NewRemarks()
	for _, c := range []struct {
		capture *record.Capture
		mark    string
	}{
		{remark("occurrenceRemarks", "recap of H05"), "H05"},
		{remark("fieldNotes", "same animal as H05"), "H05"},
		{remark("occurrenceRemarks", "recap of h07"), ""}, // its own mark
		{remark("locality", "recap of H05"), ""},
		{remark("occurrenceRemarks", "recap 3"), ""},
		{&record.Capture{Extras: []record.Extra{{Heading: "Notes", Text: "recap of H05"}}}, "H05"},
	} {
		if said, ok := remarks.MentionIn(c.capture); said.Mark != c.mark || ok != (c.mark != "") {
			t.Errorf("%+v: %q %v, want %q", c.capture.Values, said.Mark, ok, c.mark)
		}
	}
}

func TestBefore(t *testing.T) {
	at := func(row int) record.Address { return record.Address{File: "marks.csv", Row: row} }
	all := []Seen{{"2024-06-01", "third", at(4)}, {"2024-05-01", "second", at(3)}, {"", "undated", at(9)}, {"2024-05-01", "first", at(2)}}
	for _, c := range []struct {
		own  Seen
		want []string
	}{
		{all[0], []string{"undated", "first", "second"}},
		{all[1], []string{"undated", "first"}},
		{Seen{"", "", at(9)}, []string{"first", "second", "third"}},
	} {
		if got := Before(slices.Clone(all), c.own); !slices.Equal(got, c.want) {
			t.Errorf("before %s: %q, want %q", c.own.At, got, c.want)
		}
	}
	var many []Seen
	for i := range 20 {
		many = append(many, Seen{"2024-05-01", "", at(i + 2)})
	}
	if got := Before(many, Seen{"2024-05-02", "", at(99)}); len(got) != maxEarlier {
		t.Errorf("%d earlier captures, want %d", len(got), maxEarlier)
	}
	asked := map[string]Seen{"h05": {}}
	for _, day := range []string{"2024-06-01", "2024-05-01", "2024-07-01"} {
		c := caught("H05", day, "")
		LookAmong(asked, c)
	}
	if asked["h05"].Date != "2024-05-01" {
		t.Errorf("first seen on %s", asked["h05"].Date)
	}
}
