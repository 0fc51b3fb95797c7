package report_test

import (
	"bytes"
	"fmt"
	"io"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"testing"

	web "golang.org/x/net/html"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// messySeason is a season with findings of all kinds: some on the whole
// survey, some that share a cause with others far away.
func messySeason(n int) made {
	p := season(n)
	for i, c := range p.Captures {
		at := func(column int) record.Address { return record.Address{File: c.File, Row: c.Row, Column: column} }
		add := func(f record.Finding) {
			f.Capture = c.Key
			p.Findings = append(p.Findings, f)
		}
		switch {
		case i%41 == 3:
			add(record.Finding{Rule: "name-unknown", Level: record.Warning, At: at(1), Field: "scientificName", Value: "Rana sp. 7", Reason: "the name is in no list"})
		case i%53 == 4:
			add(record.Finding{Rule: "animal-unusual", Level: record.Warning, At: at(0), Reason: "the animal is unlike the others: its parts do not fit together"})
		case i%67 == 5:
			add(record.Finding{Rule: "date-outside", Level: record.Warning, At: at(4), Field: "eventDate", Value: "x", Reason: "the date lies outside the season"})
		case i%71 == 6:
			add(record.Finding{Rule: "value-far", Level: record.Warning, At: at(14), Also: []record.Address{at(13)}, Field: "bagMass", Reason: fmt.Sprintf("the bag of %s is heavy", c.Key), Figures: []record.Figure{{Name: "n", Value: 3}}})
		case i%73 == 7:
			add(record.Finding{Rule: "coordinate-far", Level: record.Error, At: at(7), Field: "decimalLatitude", Reason: "the place is far from all others"})
		case i%11 == 8:
			add(record.Finding{Rule: "unit-assumed", Level: record.Note, At: at(9), Reason: "no unit was written"})
		}
	}
	far := record.Finding{Rule: "capture-twice", Level: record.Warning, At: record.Address{File: "survey.yaml"}, Reason: "captures look alike"}
	for _, i := range []int{1, n / 2, n - 1} {
		c := p.Captures[i]
		far.Also = append(far.Also, record.Address{File: c.File, Row: c.Row, Column: 2})
	}
	far.Also = append(far.Also, record.Address{File: "season.csv", Row: p.Captures[7].Row, Column: 9}) // a cell that is in doubt already
	p.Findings = append(p.Findings, far)
	return p
}

// The page of a survey that is not large is the same in parts as in one.
func TestPageInParts(t *testing.T) {
	for name, p := range map[string]made{"season": season(700), "messy": messySeason(900), "tiny": season(3)} {
		want := html(t, p)
		for _, part := range []int{1, 37, 300, 899} {
			if got := html(t, p, part); !bytes.Equal(got, want) {
				t.Errorf("%s in parts of %d: %s", name, part, difference(got, want))
			}
		}
	}
}

func difference(got, want []byte) string {
	i := 0
	for i < min(len(got), len(want)) && got[i] == want[i] {
		i++
	}
	return fmt.Sprintf("%d and %d bytes, from byte %d: %q, want %q", len(got), len(want), i, got[i:min(len(got), i+120)], want[i:min(len(want), i+120)])
}

// A row is asked for while its part is at hand, and shown later.
func TestRowsAreAskedWhileAtHand(t *testing.T) {
	p := season(90)
	record.SortFindings(p.Findings)
	first, last := 0, 0
	all := p.Rows
	p.Rows = func(f record.Finding) []report.Neighbour {
		if f.At.Row < first || f.At.Row > last {
			return nil
		}
		return all(f)
	}
	g := report.NewGatherer(p.Asked)
	for part := range slices.Chunk(p.Captures, 30) {
		first, last = part[0].Row, part[len(part)-1].Row
		var here []record.Finding
		for _, f := range p.Findings {
			if f.At.Row >= first && f.At.Row <= last {
				here = append(here, f)
			}
		}
		g.Add(part, here)
	}
	first, last = 0, 0
	g.End([]record.Finding{{Rule: "value-twice", Level: record.Warning, At: record.Address{File: "season.csv", Row: p.Findings[1].At.Row, Column: 9}, Reason: "said of all"}})
	p.Gathered = g
	var b bytes.Buffer
	if err := report.HTML(&b, p.Page); err != nil {
		t.Fatal(err)
	}
	rows := nodes(t, b.Bytes(), func(n *web.Node) bool { return n.Data == "dl" })
	if len(rows) != len(p.Findings) {
		t.Errorf("%d rows are shown, want %d", len(rows), len(p.Findings))
	}
}

// The way of large surveys tells of the same entries and counts the same.
func TestLargeTellsTheSame(t *testing.T) {
	p := messySeason(6000)
	want, got := html(t, p), largeHTML(t, p, 1000)
	for what, keep := range map[string]func(*web.Node) bool{
		"headings of entries": func(n *web.Node) bool { return n.Data == "h3" && n.Parent.Data == "article" },
		"leads":               classed("lead"),
		"counts of rules":     func(n *web.Node) bool { return n.Data == "tr" && n.Parent.Data == "tbody" },
		"reasons":             classed("say"),
		"rows":                func(n *web.Node) bool { return n.Data == "dl" },
		"titles of pictures":  func(n *web.Node) bool { return n.Data == "h4" },
	} {
		a, b := texts(t, got, keep), texts(t, want, keep)
		if !slices.Equal(a, b) {
			t.Errorf("%s: %d, want %d", what, len(a), len(b))
			for i := range min(len(a), len(b)) {
				if a[i] != b[i] {
					t.Errorf("first at %d: %q, want %q", i, a[i], b[i])
					break
				}
			}
		}
	}
	numbers := regexp.MustCompile(`\d+ (animals|pairs|captures|bags|readings|places)\b`)
	for i, look := range texts(t, want, lookOf) {
		other := texts(t, got, lookOf)[i]
		if a, b := numbers.FindString(other), numbers.FindString(look); a != b && !strings.Contains(look, "none of them in doubt") {
			t.Errorf("%q, want the number of %q", other, look)
		}
	}
	if !bytes.Contains(got, []byte("use a sample of")) {
		t.Error("the page does not say that it shows a sample")
	}
}

// largeHTML gathers the page in the way of large surveys.
func largeHTML(t *testing.T, p made, size int) []byte {
	t.Helper()
	g := report.NewGatherer(p.Asked)
	g.GrowNow()
	rest := slices.Clone(p.Findings)
	record.SortFindings(rest)
	for part := range slices.Chunk(p.Captures, size) {
		n := 0
		for n < len(rest) && rest[n].At.File == "season.csv" && rest[n].At.Row <= part[len(part)-1].Row {
			n++
		}
		g.Add(part, rest[:n])
		rest = rest[n:]
	}
	g.End(rest)
	p.Gathered = g
	var b bytes.Buffer
	if err := report.HTML(&b, p.Page); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func lookOf(n *web.Node) bool {
	return n.Data == "p" && n.Parent.Data == "figcaption" && n.PrevSibling != nil && n.PrevSibling.PrevSibling != nil && n.PrevSibling.PrevSibling.Data == "h4"
}

func texts(t *testing.T, page []byte, keep func(*web.Node) bool) []string {
	var out []string
	for _, n := range nodes(t, page, keep) {
		out = append(out, strings.Join(strings.Fields(text(n)), " "))
	}
	return out
}

// What is kept of a large survey is bounded, whatever is wrong in it.
func TestLargeIsBounded(t *testing.T) {
	p := season(report.WholeUpTo * 3 / 2)
	g := report.NewGatherer(p.Asked)
	for part := range slices.Chunk(p.Captures, 8192) {
		var fs []record.Finding
		for _, c := range part {
			c.Set(record.Value{Field: record.Of("scientificName"), Text: "A wrong column " + c.Key})
			c.Set(record.Value{Field: record.Of("decimalLatitude"), Text: fmt.Sprintf("%.7f", 45+float64(c.Row)/1e6)})
			fs = append(fs, record.Finding{Rule: "value-far", Level: record.Error, At: c.Readings[2].From(), Capture: c.Key, Field: "tibiaLength", Value: c.Readings[2].Text, Reason: "far from " + c.Key},
				record.Finding{Rule: "value-far", Level: record.Error, At: c.Readings[3].From(), Capture: c.Key, Field: "headWidth", Reason: "the same everywhere"})
		}
		g.Add(part, fs)
	}
	g.End(nil)
	sketches, causes, sayings := g.Kept()
	if sketches > report.MaxSketches*3/2 || causes > 2*report.MaxCauses {
		t.Errorf("%d sketches and %d causes are kept", sketches, causes)
	}
	if sayings != causes {
		t.Errorf("%d sayings of %d causes with one each", sayings, causes)
	}
	if n := g.Captures("season.csv", ""); n != len(p.Captures) || g.Counts().Error != 2*n {
		t.Errorf("%d captures and %d errors are counted", n, g.Counts().Error)
	}
	p.Gathered = g
	var b bytes.Buffer
	if err := report.HTML(&b, p.Page); err != nil {
		t.Fatal(err)
	}
	if b.Len() >= 2_000_000 {
		t.Errorf("%d bytes, want less than 2 MB", b.Len())
	}
}

// The same captures give the same page, and a sample does not hang on how the
// captures are parted.
func TestLargeSameBytes(t *testing.T) {
	p := messySeason(report.WholeUpTo + 5000)
	if a, b := html(t, p, 8192), html(t, p, 8192); !bytes.Equal(a, b) {
		t.Error(difference(a, b))
	}
}

// BenchmarkGather gathers a season in parts and says what is kept of it.
func BenchmarkGather(b *testing.B) {
	for _, n := range []int{20_000, 100_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			p := messySeason(n)
			record.SortFindings(p.Findings)
			b.ReportAllocs()
			var before, after runtime.MemStats
			runtime.GC()
			runtime.ReadMemStats(&before)
			var g *report.Gatherer
			for b.Loop() {
				g = gathered(p, 8192)
			}
			runtime.GC()
			runtime.ReadMemStats(&after)
			b.ReportMetric(float64(after.HeapAlloc-before.HeapAlloc)/1e6, "MB-kept")
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/1e3/float64(b.N*n), "µs/capture")
			p.Gathered = g
			if err := report.HTML(io.Discard, p.Page); err != nil {
				b.Fatal(err)
			}
		})
	}
}

// Where it is asked for, every finding of a cause is kept, with its other cells,
// however large the survey.
func TestLargeKeepsWholeCauses(t *testing.T) {
	p := season(4_000)
	p.Asked.Whole = true
	g := report.NewGatherer(p.Asked)
	g.GrowNow()
	want := 0
	for part := range slices.Chunk(p.Captures, 512) {
		var fs []record.Finding
		for i, c := range part {
			if i%10 == 0 {
				want++
				fs = append(fs, record.Finding{Rule: "word-unknown", Level: record.Warning, At: c.Readings[2].From(), Also: []record.Address{c.Readings[3].From()}, Field: "sex", Value: "Z9", Reason: "no word for a sex"})
			}
		}
		g.Add(part, fs)
	}
	g.End(nil)
	causes := g.Causes()
	if len(causes) != 1 || len(causes[0].Findings) != want {
		t.Fatalf("%d causes, the first with %d findings, want %d", len(causes), len(causes[0].Findings), want)
	}
	for _, f := range causes[0].Findings {
		if len(f.Also) != 1 {
			t.Fatalf("%s has %d other cells", f.At, len(f.Also))
		}
	}
}
