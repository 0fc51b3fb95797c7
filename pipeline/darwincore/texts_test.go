package darwincore

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// pieces are what the texts of a field sheet and of an enemy are made of.
var pieces = []string{"a", "Z", "7", " ", "\t", "\n", "\r", ",", "\"", "\"\"", "\\", ".", "é", "蛙", "\u00a0", "\u2028", "\u2029", "\x7f", "\x1f", "\b", "\f", "<&>", "\xff", "\xc3", "\ufffd", "\x00", "–"}

func anyText(r *rand.Rand) string {
	var b strings.Builder
	for range r.IntN(6) {
		b.WriteString(pieces[r.IntN(len(pieces))])
	}
	return b.String()
}

// Texts are written as the standard library writes them, whether they are a
// string or bytes.
func TestTextsAsTheStandardLibraryWritesThem(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 20000 {
		s := anyText(r)
		if len(s) > 0 { // a row of one empty field has quotes there
			var want bytes.Buffer
			w := csv.NewWriter(&want)
			if err := w.Write([]string{clean(s)}); err != nil {
				t.Fatal(err)
			}
			w.Flush()
			for _, got := range [][]byte{appendText([]byte("x"), s), appendText([]byte("x"), []byte(s))} {
				// The library writes \n for \r\n in quotes only where it is told to; it is not.
				if string(got)+"\n" != "x"+want.String() {
					t.Fatalf("CSV of %q: %q, want %q", s, got[1:], want.String())
				}
			}
		}
		if got, want := string(appendString(nil, s)), string(bytes.TrimSpace(appendValue(nil, s))); got != want {
			t.Fatalf("JSON of %q: %s, want %s", s, got, want)
		}
		if got, want := string(appendGoQuoted(nil, s)), strconv.Quote(s); got != want {
			t.Fatalf("%q in quotes: %s, want %s", s, got, want)
		}
	}
}

// dynamicProperties are the object that encoding/json makes of the same
// members.
func TestProperties(t *testing.T) {
	for _, c := range []struct {
		given string
		do    func(p *properties)
		want  string
	}{
		{``, func(p *properties) {}, ``},
		{`{}`, func(p *properties) {}, ``},
		{`null`, func(p *properties) {}, `{"dynamicProperties":"null"}`},
		{`not JSON`, func(p *properties) {}, `{"dynamicProperties":"not JSON"}`},
		{`{"b":[1,"<"],"a":null}`, func(p *properties) { p.put("c", "d"); p.put("b", "e") }, `{"a":null,"b":[1,"<"],"b (as text)":"e","c":"d"}`},
		{`{"b":[1,"<"]}`, func(p *properties) { p.nest(verbatimGroup, "sex", "M") }, `{"b":[1,"<"],"verbatim":{"sex":"M"}}`},
		{`{"verbatim":{"sex":"m","n":1}}`, func(p *properties) { p.nest(verbatimGroup, "sex", "M"); p.nest(verbatimGroup, "n", "2") }, `{"verbatim":{"n":1,"n (as text)":"2","sex":"m | M"}}`},
		{`{"verbatim":"x","unread":7}`, func(p *properties) { p.nest(verbatimGroup, "sex", "M"); p.nest(unreadGroup, "mass", "?") },
			`{"unread":{"dynamicProperties":7,"mass":"?"},"verbatim":{"dynamicProperties":"x","sex":"M"}}`},
		{`{"verbatim":""}`, func(p *properties) { p.nest(verbatimGroup, "a", "b") }, `{"verbatim":{"a":"b","dynamicProperties":""}}`},
		{``, func(p *properties) {
			p.nest(unreadGroup, "a", "b")
			p.put(unreadGroup, "c")
			p.nest(unreadGroup, "d", "e")
		}, `{"unread":{"a":"b","d":"e","unread":"c"}}`},
	} {
		var p properties
		p.begin(&record.Value{Text: c.given}, nil)
		c.do(&p)
		got := string(p.appendJSON(nil))
		if got != c.want {
			t.Errorf("%s: %s, want %s", c.given, got, c.want)
		}
		if got == "" {
			continue
		}
		var back any
		if err := json.Unmarshal([]byte(got), &back); err != nil {
			t.Errorf("%s: %v", c.given, err)
		}
		if again := string(appendValue(nil, back)); again != got {
			t.Errorf("%s: the library writes %s", got, again)
		}
	}
}

// Every term has a slot, found by name, and the fixed tables of columns are in
// the order in which columns are published.
func TestSlots(t *testing.T) {
	table := slots()
	if n := len(table.All); n > len(marks{})*64 {
		t.Fatalf("%d terms do not fit into marks", n)
	}
	for i, name := range table.All {
		if table.Place(name) != i {
			t.Errorf("%s has slot %d, want %d", name, table.Place(name), i)
		}
	}
	for _, name := range []string{"", "no", "decimalLatitudE", "eventdate"} {
		if i := table.Place(name); i >= 0 {
			t.Errorf("%q has slot %d", name, i)
		}
	}
	for _, list := range [][]string{table.All, factTerms[factOccurrence:], mediumTerms[1:]} {
		for i := 1; i < len(list); i++ {
			if compareColumns(list[i-1], list[i]) >= 0 {
				t.Errorf("%s stands before %s", list[i-1], list[i])
			}
		}
	}
}

// What is kept of too many texts does not depend on their order.
func TestDistinct(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	order := r.Perm(3*maxDistinct + 7)
	var whole distinct
	halves := make([]distinct, 2)
	for i, n := range order {
		text := fmt.Appendf(nil, "%07d", n)
		whole.add(text)
		halves[i%2].add(text)
	}
	halves[0].join(&halves[1])
	for _, d := range []*distinct{&whole, &halves[0]} {
		got := d.sorted()
		if len(got) != maxDistinct {
			t.Fatalf("%d texts, want %d", len(got), maxDistinct)
		}
		for i, s := range got {
			if want := fmt.Sprintf("%07d", i); s != want {
				t.Fatalf("text %d is %s, want %s", i, s, want)
			}
		}
		if len(d.known) >= 2*maxDistinct {
			t.Errorf("%d texts in memory", len(d.known))
		}
	}
}
