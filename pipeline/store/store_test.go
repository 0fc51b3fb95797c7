package store

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// invented makes a capture with every field used now and then.
func invented(r *rand.Rand, n int) *record.Capture {
	some := func(texts ...string) string { return texts[r.IntN(len(texts))] }
	c := &record.Capture{
		ID: fmt.Sprintf("urn:uuid:%d", n), Key: fmt.Sprintf("MC%05d", n), File: some("a.csv", "b.xlsx"), Sheet: some("", "Spring"),
		Row: n + 2, Table: r.IntN(3), Session: some("", "2024-05-01 / Beaver Pond"),
	}
	at := func() record.Address {
		switch r.IntN(3) {
		case 0:
			return record.Address{}
		case 1:
			return record.Address{File: "sites.csv", Row: 3, Column: 2}
		}
		return record.Address{File: c.File, Sheet: c.Sheet, Row: c.Row, Column: r.IntN(30)}
	}
	for range r.IntN(8) {
		c.Values = append(c.Values, record.Value{Field: &record.Field{Term: some("sex", "locality", "recordNumber"), Remark: some("", "from the heading")}, Text: some("", "male", fmt.Sprint(r.IntN(1e6))), Verbatim: some("", "male", "M", fmt.Sprint(r.IntN(1e6)))}.At(at()))
	}
	reading := func() record.Reading {
		x := record.Reading{Series: &record.Series{Measurement: some("snoutVentLength", "bodyMass"), Unit: some("mm", "g"), WrittenUnit: some("mm", "cm"), Instrument: some("", "caliper"), Observer: some("", "A. Varga"), Side: some("", record.Left, record.Right), Replicate: r.IntN(3), Comma: r.IntN(2) == 0, Derived: r.IntN(2) == 0}, State: record.State(r.IntN(7)), Number: r.NormFloat64() * 50, Decimals: r.IntN(5) - 2, Text: some("", "57.5"), Verbatim: some("", "57.5", "57,5 mm?")}.At(at())
		x.SetRemark(some("", fmt.Sprintf("gross %d g", r.IntN(1e6))))
		if r.IntN(4) == 0 {
			x.SetBounds(-r.Float64(), r.Float64())
			x.Accuracy = 0.082
		}
		return x
	}
	for range r.IntN(9) {
		c.Readings = append(c.Readings, reading())
	}
	if r.IntN(2) == 0 {
		c.Weighing = &record.Weighing{Way: record.SameRow, Scale: some("", "scale 60"), BagLabel: some("", "B7"), Bag: at()}
		for _, p := range []**record.Reading{&c.Weighing.Gross, &c.Weighing.Tare, &c.Weighing.Net} {
			if x := reading(); r.IntN(3) > 0 {
				*p = &x
			}
		}
	}
	if r.IntN(3) == 0 {
		c.Extras = append(c.Extras, record.Extra{Heading: "Moon", Text: some("full", "new"), From: at()})
		c.Remarks = append(c.Remarks, "in reeds, calling", "ü")
	}
	return c
}

func many(seed uint64, n int) []*record.Capture {
	r := rand.New(rand.NewPCG(seed, 1))
	out := make([]*record.Capture, n)
	for i := range out {
		out[i] = invented(r, i)
	}
	return out
}

var same = cmp.Options{cmpopts.EquateEmpty(), cmpopts.IgnoreFields(record.Capture{}, "Terms"), cmpopts.IgnoreFields(record.Value{}, "Word")}

// What is taken down equals what was put there: whole parts, parts that were
// replaced, and single captures; and no file is left.
func TestCapturesComeBackAsWhatWasPutThere(t *testing.T) {
	dir := t.TempDir()
	s, err := New(dir)
	if err != nil {
		t.Fatal(err)
	}
	all := many(7, 3000)
	for part := range slices.Chunk(all, 700) {
		if err := s.Add(part); err != nil {
			t.Fatal(err)
		}
	}
	all[800] = invented(rand.New(rand.NewPCG(9, 9)), 800)
	if err := s.Replace(1, all[700:1400]); err != nil {
		t.Fatal(err)
	}
	if s.Captures() != len(all) || s.Parts() != 5 || s.First(4) != 2800 {
		t.Fatalf("%d captures in %d parts, the last from %d", s.Captures(), s.Parts(), s.First(4))
	}
	var h Buffer
	for _, i := range []int{4, 0, 1, 3, 1}[:need.Times(4, 5)] {
		got, err := s.Take(i, &h)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(all[s.First(i):s.First(i)+len(got)], got, same); d != "" {
			t.Fatalf("part %d: %s", i, d)
		}
		for _, c := range got {
			if c.Terms != nil && !slices.EqualFunc(c.Terms.All, c.Values, func(term string, v record.Value) bool { return v.Term == term }) {
				t.Fatalf("part %d, row %d: %q are not the terms of its values", i, c.Row, c.Terms.All)
			}
		}
		for k, c := range got { // adding to one capture changes no other
			c.Readings = append(c.Readings, record.Reading{Rare: &record.Rare{Remark: fmt.Sprint(k)}}, record.Reading{}, record.Reading{})
		}
		for k, c := range got {
			if r := c.Readings[len(c.Readings)-3]; r.Remark() != fmt.Sprint(k) {
				t.Fatalf("part %d: what was added to capture %d is gone", i, k)
			}
		}
	}
	for _, n := range []int{0, 699, 700, 800, 2799, 2999} {
		got, err := s.Find(n)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(all[n], got, same); d != "" {
			t.Errorf("capture %d: %s", n, d)
		}
	}
	if err := s.Replace(0, all[:3]); err == nil {
		t.Error("a part was replaced by fewer captures")
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// Values come back with the number of their text, whether they had it, another or none.
func TestWordsOfValues(t *testing.T) {
	s, err := New(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	_, pond := s.Word("Beaver Pond")
	_, ditch := s.Word("Mill Ditch")
	_, again := s.Word("Beaver Pond")
	if _, none := InMemory().Word("Beaver Pond"); pond == ditch || pond != again || none != 0 {
		t.Fatal(pond, ditch, again, none)
	}
	var all []*record.Capture
	for _, number := range []uint32{pond, ditch, 0, 1 << 20} {
		all = append(all, &record.Capture{Values: []record.Value{{Field: record.Of("locality"), Text: "Beaver Pond", Word: number}}})
	}
	if err := s.Add(all); err != nil {
		t.Fatal(err)
	}
	got, err := s.Take(0, &Buffer{})
	if err != nil {
		t.Fatal(err)
	}
	for n, c := range got {
		if v := c.Values[0]; v.Text != "Beaver Pond" || v.Word != pond {
			t.Errorf("capture %d: %+v", n, v)
		}
	}
}

// Captures with the same terms share them, and know when they have others.
func TestTermsAreShared(t *testing.T) {
	var all []*record.Capture
	male, site := record.Of("sex"), record.Of("locality")
	for n := range 50 {
		c := &record.Capture{File: "a.csv", Sheet: fmt.Sprint(n % 3), Row: n, Values: []record.Value{{Field: male, Text: "male", Row: int32(n)}}}
		if n%2 == 0 {
			c.Values = append(c.Values, record.Value{Field: site, Text: "Beaver Pond"})
		}
		all = append(all, c)
	}
	s, err := New(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.Add(all); err != nil {
		t.Fatal(err)
	}
	got, err := s.Take(0, &Buffer{})
	if err != nil {
		t.Fatal(err)
	}
	shared := [2]*record.Names{got[0].Terms, got[1].Terms}
	for n, c := range got {
		if c.Terms == nil || c.Terms != shared[n%2] {
			t.Errorf("row %d shares no terms with the row two above", n)
		}
		if place := c.Get("locality"); (place == "") != (n%2 == 1) {
			t.Errorf("row %d is at %q", n, place)
		}
		c.Set(record.Value{Field: record.Of("habitat"), Text: "reeds"})
		if c.Get("habitat") != "reeds" || c.Get("sex") != "male" {
			t.Errorf("row %d lost a value", n)
		}
		c.Hold(c.Values[:0])
		if c.Value("sex") != nil {
			t.Errorf("row %d has a value that was taken away", n)
		}
	}
}

// A file that was cut or overwritten is an error and no wrong capture.
func TestCapturesNoticeDamage(t *testing.T) {
	s, err := New(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.Add(many(3, 200)); err != nil {
		t.Fatal(err)
	}
	b := make([]byte, s.end)
	for i := 800; i < len(b); i++ {
		b[i] = 0xff
	}
	if _, err := s.file.WriteAt(b[900:1800], 900); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Take(0, &Buffer{}); err == nil {
		t.Error("an overwritten file was read as captures")
	}
	if err := s.file.Truncate(1000); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Take(0, &Buffer{}); err == nil {
		t.Error("a file that was cut was read as captures")
	}
}

// sameFindings compares findings, and their further cells by themselves: of
// thousands of them a comparison of structs takes seconds.
func sameFindings(t *testing.T, what string, want, got []record.Finding) {
	t.Helper()
	want, got = slices.Clone(want), slices.Clone(got)
	for i := range min(len(want), len(got)) {
		if !slices.Equal(want[i].Also, got[i].Also) {
			t.Fatalf("%s: finding %d has other cells", what, i)
		}
		want[i].Also, got[i].Also = nil, nil
	}
	if d := cmp.Diff(want, got, same); d != "" {
		t.Errorf("%s: %s", what, d)
	}
}

// Runs of findings come back merged, in the order of the outputs.
func TestFindingsMergeTheirRuns(t *testing.T) {
	p, err := NewFindings(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	r := rand.New(rand.NewPCG(5, 5))
	var all []record.Finding
	for range 9 {
		var fs []record.Finding
		for range r.IntN(300) {
			f := record.Finding{Rule: fmt.Sprintf("rule-%d", r.IntN(4)), Level: record.Level(1 + r.IntN(3)), Capture: "MC1", Field: "sex", Value: "M",
				At: record.Address{File: "a.csv", Row: r.IntN(500), Column: r.IntN(3)}, Reason: fmt.Sprint("because ", r.IntN(1e9)),
				Figures: []record.Figure{{Name: "n", Value: r.Float64()}}, Group: "g", Suggestion: "F", Reference: "Rosner 1983"}
			for range r.IntN(3) {
				f.Also = append(f.Also, record.Address{File: "b.csv", Row: r.IntN(9)})
			}
			if r.IntN(100) == 0 {
				f.Also = make([]record.Address, 20000) // more than is read at a time
			}
			fs = append(fs, f)
		}
		record.SortFindings(fs)
		if err := p.Add(fs); err != nil {
			t.Fatal(err)
		}
		all = append(all, fs...)
	}
	record.SortFindings(all)
	var got []record.Finding
	for f, err := range p.All() {
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, f)
	}
	sameFindings(t, "merged", all, got)
	if p.Len() != len(all) {
		t.Errorf("%d findings, want %d", p.Len(), len(all))
	}
	var first []record.Finding
	for i := range 9 {
		fs, err := p.Run(i)
		if err != nil {
			t.Fatal(err)
		}
		first = append(first, fs...)
	}
	record.SortFindings(first)
	sameFindings(t, "run by run", all, first)
}

// Equal texts are found, however little fits in memory.
func TestEqualTexts(t *testing.T) {
	for _, bound := range []int{3, 100, maxInMemory} {
		w := NewEqualTexts(t.TempDir())
		w.bound = bound
		r := rand.New(rand.NewPCG(2, 2))
		want := map[string][]int{}
		for i := range 2000 {
			text := fmt.Sprintf("MC%d", r.IntN(1500))
			want[text] = append(want[text], i)
			if err := w.Add(text, i); err != nil {
				t.Fatal(err)
			}
		}
		var got, expected [][]int
		for g, err := range w.Groups() {
			if err != nil {
				t.Fatal(err)
			}
			got = append(got, slices.Clone(g))
		}
		for _, g := range want {
			if len(g) > 1 {
				expected = append(expected, g)
			}
		}
		byFirst := func(a, b []int) int { return a[0] - b[0] }
		slices.SortFunc(got, byFirst)
		slices.SortFunc(expected, byFirst)
		if d := cmp.Diff(expected, got); d != "" {
			t.Errorf("bound %d: %s", bound, d)
		}
		if err := w.Close(); err != nil {
			t.Error(err)
		}
	}
}

func BenchmarkCaptures(b *testing.B) {
	all := many(7, 8192)
	s, err := New(b.TempDir())
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	if err := s.Add(all); err != nil {
		b.Fatal(err)
	}
	b.Run("put", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			s.end = 0
			if err := s.Replace(0, all); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("take", func(b *testing.B) {
		b.ReportAllocs()
		var h Buffer
		for b.Loop() {
			if _, err := s.Take(0, &h); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// No block, however damaged, is more than an error.
func FuzzBlock(f *testing.F) {
	w := writer{words: newWords()}
	for _, c := range many(3, 4) {
		w.b = w.b[:0]
		w.capture(c)
		f.Add(string(w.b))
	}
	f.Fuzz(func(t *testing.T, block string) {
		if len(block) > 1<<12 {
			return
		}
		r := taker{reader: reader{s: block, known: w.words.known()}, buffer: &Buffer{}, grows: true}
		r.capture(&record.Capture{})
		s := reader{s: block, known: w.words.known()}
		s.finding(&record.Finding{})
		if r.err == nil && r.at > len(block) || s.err == nil && s.at > len(block) {
			t.Errorf("read past the end of %q", block)
		}
	})
}

// What is said of one cell that several captures share is one finding, in memory and from
// a file.
func TestFindingsOnASharedCellAreOne(t *testing.T) {
	at := func(row int) record.Address { return record.Address{File: "frogs.csv", Row: row, Column: 2} }
	of := func(capture, reason string, cells ...record.Address) record.Finding {
		return record.Finding{Rule: "date-impossible", Level: record.Error, At: cells[0], Also: cells[1:], Capture: capture, Reason: reason}
	}
	for _, folder := range []string{"", t.TempDir()} {
		p := FindingsInMemory()
		if folder != "" {
			var err error
			if p, err = NewFindings(folder); err != nil {
				t.Fatal(err)
			}
		}
		for _, run := range [][]record.Finding{
			{of("1", "no such day", at(2)), of("2", "no such day", at(2), at(3)), of("9", "no such day", at(9))},
			{of("3", "no such day", at(2), at(4)), of("3", "no such day", at(2), at(5)), of("3", "no such month", at(2))},
			{of("", "no such day", at(12)), of("", "no such day", at(12))},
		} {
			if err := p.Add(run); err != nil {
				t.Fatal(err)
			}
		}
		for range 2 { // it may be gone through again
			var got []string
			for f, err := range p.All() {
				if err != nil {
					t.Fatal(err)
				}
				got = append(got, fmt.Sprint(f.Capture, " ", f.At.Row, " ", len(f.Also), " ", f.Reason))
			}
			want := []string{"1 2 3 no such day; it applies to 3 captures", "3 2 0 no such month", "9 9 0 no such day", " 12 0 no such day; it applies to 2 captures"}
			if !slices.Equal(got, want) {
				t.Errorf("%q, want %q", got, want)
			}
		}
		if err := p.Close(); err != nil {
			t.Error(err)
		}
	}
}
