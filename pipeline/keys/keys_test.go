package keys

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
)

// frog is a capture of a row with what was written in some cells of it.
func frog(key string, row int, written ...string) *record.Capture {
	c := &record.Capture{Key: key, File: "frogs.csv", Row: row}
	for i, text := range written {
		c.Values = append(c.Values, record.Value{Field: record.Of(fmt.Sprint("term", i)), Text: "read", Verbatim: text}.At(record.Address{File: "frogs.csv", Row: row, Column: i + 1}))
	}
	return c
}

func TestNumber(t *testing.T) {
	a, b := digest.Digest(1), digest.Digest(2)
	for _, c := range []struct {
		name, key string
		group     []Named
		want      map[int]int
	}{
		{"alone", "F1", []Named{{7, b}}, map[int]int{7: 0}},
		{"other contents", "F1", []Named{{7, b}, {9, a}}, map[int]int{9: 0, 7: 1}},
		{"equal contents", "F1", []Named{{9, a}, {7, a}, {8, b}}, map[int]int{7: 0, 9: 2, 8: 1}},
		{"no key", "", []Named{{7, a}, {9, a}}, map[int]int{7: 1, 9: 2}},
	} {
		for range 2 { // in any order of the group
			if got := Number(c.key, slices.Clone(c.group)); !maps.Equal(got, c.want) {
				t.Errorf("%s: %v, want %v", c.name, got, c.want)
			}
			slices.Reverse(c.group)
		}
	}
}

// What identifiers are made from does not hang on rows or on the order of
// columns, nor on what is worked out of what was written.
func TestText(t *testing.T) {
	keyless := frog("", 4, "61.2", "in reeds")
	NameAfterRow(keyless)
	moved := frog("", 9, "61.2", "in reeds")
	NameAfterRow(moved)
	slices.Reverse(moved.Values)
	moved.Readings = []record.Reading{record.Reading{Series: &record.Series{Measurement: "bodyMass", Derived: true}, Verbatim: "30"}.At(moved.Address())}
	if keyless.Key != "(frogs.csv, row 4)" || !Placeholder(keyless) || Placeholder(frog("(A) 7", 4)) {
		t.Errorf("called %q", keyless.Key)
	}
	if Text(keyless, 0) != Text(moved, 1) || SameAs(keyless) != SameAs(moved) || Digest(keyless) != Digest(moved) {
		t.Errorf("%q and %q", Text(keyless, 0), Text(moved, 1))
	}
	texts := map[string]bool{}
	for nth := range 3 {
		texts[Text(frog("F1", 4, "61.2"), nth)] = true
		texts[Text(frog("F1", 4, "61.3"), nth)] = true
	}
	if len(texts) != 5 || !texts["F1"] { // the key to itself, and two numbers of two contents
		t.Errorf("%q", slices.Sorted(maps.Keys(texts)))
	}
	if c := frog("F1", 4, "61.2"); SameAs(c) != "F1" {
		t.Errorf("the same as %q", SameAs(c))
	}
}

func TestMissed(t *testing.T) {
	key := func(*record.Capture) []string { return []string{"recordNumber"} }
	none := func(*record.Capture) []string { return nil }
	for _, c := range []struct {
		name         string
		all, without int
		terms        func(*record.Capture) []string
		level        record.Level
		says         string
	}{
		{"no key in the mapping", 3, 3, none, record.Warning, "the mapping has no key"},
		{"blank key columns", 3, 3, key, record.Warning, "none of the 3 captures has a value in the key columns (recordNumber)"},
		{"one gap", 3, 1, key, record.Error, "the capture has no value in the key columns"},
		{"gaps", 3, 2, key, record.Error, "are empty for 2 of 3 captures"},
		{"gaps without end", 5000, 2500, key, record.Error, "the first 1000 are listed"},
	} {
		var d Doubts
		for i := range c.all {
			a := frog("", 2*i+2)
			if d.Count(a); i < c.without {
				d.Missing(a, a.Address())
			}
		}
		fs := d.Missed(c.terms)
		if len(fs) != 1 || fs[0].Rule != "key-missing" || fs[0].Level != c.level || !strings.Contains(fs[0].Reason, c.says) || fs[0].At.Row != 2 {
			t.Errorf("%s: %+v", c.name, fs)
		}
	}
	var d Doubts // an absence has the key of its day and taxon
	for i := range 4 {
		a := frog("", 2*i+2)
		if i == 3 {
			a.Set(record.Value{Field: &record.Field{Term: "occurrenceStatus"}, Text: "absent"})
		}
		if d.Count(a); i < 3 {
			d.Missing(a, a.Address())
		}
	}
	if fs := d.Missed(key); len(fs) != 1 || fs[0].Level != record.Warning || !strings.Contains(fs[0].Reason, "none of the 3 captures") {
		t.Errorf("beside an absence: %+v", fs)
	}
	if fs := new(Doubts).Missed(key); fs != nil {
		t.Errorf("nothing was missed: %v", fs)
	}
}

func TestAgain(t *testing.T) {
	at := func(row int) record.Address { return record.Address{File: "frogs.csv", Row: row, Column: 1} }
	var d Doubts
	for i, key := range []string{"F1", "F2", "F1"} {
		d.Repeated(key, at(10+i), at(2+i))
	}
	twice := map[RowPair]bool{PairOf(at(10), at(2)): true}
	fs := d.Again(nil, twice)
	if len(fs) != 1 || len(fs[0].Also) != 5 || fs[0].Value != "" ||
		!strings.HasPrefix(fs[0].Reason, "3 captures have the same key as an earlier one: F1, F2; the measurements are also the same") || !strings.HasSuffix(fs[0].Reason, "rows 2 and 10") {
		t.Errorf("%+v", fs)
	}
	fs = d.Again(func(f record.Finding) bool { return f.At.Row > 10 }, nil)
	if len(fs) != 1 || fs[0].Value != "F1" || !strings.Contains(fs[0].Reason, "has the same key") {
		t.Errorf("%+v", fs)
	}
	if told := d.Covers(twice); told == nil || !told(record.Finding{Rule: "capture-twice", At: at(2), Also: []record.Address{at(10)}}) || told(record.Finding{Rule: "capture-twice", At: at(3), Also: []record.Address{at(11)}}) {
		t.Error("the finding on keys tells another pair, or not its own")
	}
}

func TestSheetsTwice(t *testing.T) {
	at := func(file string, row int) record.Address { return record.Address{File: file, Row: row} }
	pairs := func(a, b string, n int) (out [][2]record.Address) {
		for i := range n {
			out = append(out, [2]record.Address{at(a, i+2), at(b, i+2)})
		}
		return out
	}
	size := map[Source]int{{"a.csv", ""}: 6, {"b.csv", ""}: 6, {"c.csv", ""}: 6}
	for _, c := range []struct {
		name  string
		pairs [][2]record.Address
		want  []string
	}{
		{"two of six", pairs("a.csv", "b.csv", 2), nil},
		{"three of six", pairs("a.csv", "b.csv", 3), []string{"a.csv b.csv"}},
		{"three files", append(pairs("a.csv", "b.csv", 6), pairs("b.csv", "c.csv", 6)...), []string{"a.csv b.csv c.csv"}},
	} {
		var got []string
		for _, held := range SheetsTwice(size, c.pairs) {
			var files []string
			for _, s := range held.sources {
				files = append(files, s.File)
			}
			got = append(got, strings.Join(files, " "))
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}
