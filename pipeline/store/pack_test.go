package store

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// A block comes back as what was packed, with the marks that only published
// captures have.
func TestPackedComesBack(t *testing.T) {
	all := many(11, need.Times(500, 1500))
	for i, c := range all {
		if i%7 == 0 && len(c.Values) > 0 {
			c.Values[0].Vary(func(f *record.Field) { f.Undecided = "date-unread" })
		}
		if i%5 == 0 && len(c.Readings) > 0 {
			c.Readings[0].Vary(func(s *record.Series) { s.Undecided = "beyond-limit" })
		}
	}
	got, err := Unpack(Pack(all))
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(all, got, same); d != "" {
		t.Error(d)
	}
	fs := []record.Finding{{Rule: "key-missing", Level: record.Error, At: record.Address{File: "a.csv", Row: 4}, Reason: "no key",
		Also: []record.Address{{File: "b.csv", Row: 2, Column: 1}}, Figures: []record.Figure{{Name: "n", Value: 3}}}, {Rule: "unread"}}
	back, err := UnpackFindings(PackFindings(fs))
	if d := cmp.Diff(fs, back, same); err != nil || d != "" {
		t.Error(err, d)
	}
	if none, err := UnpackFindings(PackFindings(nil)); err != nil || len(none) > 0 {
		t.Error(err, none)
	}
}

// No block, however damaged, is more than an error.
func FuzzUnpack(f *testing.F) {
	f.Add(Pack(many(3, 4)))
	f.Add(PackFindings([]record.Finding{{Rule: "unread", Reason: "what"}}))
	f.Fuzz(func(t *testing.T, block []byte) {
		if len(block) > 1<<12 {
			return
		}
		captures, err := Unpack(block)
		fs, failed := UnpackFindings(block)
		if err == nil && len(captures) > len(block) || failed == nil && len(fs) > len(block) {
			t.Errorf("%d captures and %d findings of %d bytes", len(captures), len(fs), len(block))
		}
	})
}

// What was fetched is found by its ordinal, in a store over another as well.
func TestFetchedIsFound(t *testing.T) {
	all := many(3, 40)
	s := Some([]int{25, 15})
	for n := 0; n < 40; n += 3 {
		s.Fetched(n, all[n])
	}
	more := s.Another()
	more.Fetched(25, all[25])
	for n := range all {
		for k, in := range []*Captures{s, more} {
			got, err := in.Find(n)
			switch some := n%3 == 0 || k == 1 && n == 25; {
			case some && (err != nil || cmp.Diff(all[n], got, same) != ""):
				t.Errorf("capture %d: %v, %v", n, got, err)
			case !some && err == nil:
				t.Errorf("capture %d was not fetched", n)
			}
		}
	}
	if more.Captures() != 40 || more.First(1) != 25 || more.Size(1) != 15 {
		t.Error(more.Captures(), more.First(1), more.Size(1))
	}
}
