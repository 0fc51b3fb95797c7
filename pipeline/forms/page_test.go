package forms

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

func page(t testing.TB, f *Form, p Paper) string {
	t.Helper()
	b, err := f.Page(p)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// The page has a place for everything that the workbook is typed from.
func TestPageHasABoxForEverything(t *testing.T) {
	f := planned(t, nil)
	html := page(t, f, A4)
	for _, c := range f.Columns {
		want := ">" + c.Name + "<"
		if c.Session {
			want = "<span>" + c.Name
		}
		if c.Meaning.Role != record.SetAside && !strings.Contains(html, want) {
			t.Errorf("no box for %s", c.Heading)
		}
	}
	for _, want := range append([]string{"size: A4 landscape", "Gross<small>g", "Bag<small>g", "Net<small>g, a check", "Caliper", "zero before", "check mass",
		"Written by", "Lithobates sylvaticus", "SVL 30 to 83 mm (adult)", "MC-2023-07"}, cautions...) {
		if !strings.Contains(html, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if strings.Contains(html, "<script") || strings.Contains(html, "http") {
		t.Error("the page asks for something beside it")
	}
}

// The boxes follow the way of weighing.
func TestWeighingBoxes(t *testing.T) {
	for _, c := range []struct {
		way   record.WeighWay
		parts []string
		want  string
	}{
		{record.SameRow, []string{record.Gross, record.Tare}, "gross −tare =Net*"},
		{record.BagTable, []string{record.Gross, record.Bag}, "gross bag =Net*"},
		{record.SessionTare, []string{record.Gross}, "gross −Bag =Net*"},
		{record.Zeroed, []string{record.Net}, "net"},
		{record.NoTare, []string{record.Gross}, "gross"},
		{record.SameRow, []string{record.Gross, record.Tare, record.Net}, "gross −tare =net"},
	} {
		f := planned(t, func(s *Source) {
			s.Entries = s.Entries[:1]
			for _, p := range c.parts {
				s.Entries = append(s.Entries, partEntry(p, p))
			}
			s.Entries = append(s.Entries, termEntry("Notes", "occurrenceRemarks"))
			s.Weighing.Way = c.way
		})
		var got []string
		for _, b := range f.boxes() {
			if b.Mass {
				got = append(got, b.Sign+b.Name+map[bool]string{true: "*"}[b.Sum])
			}
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s with %v: %q, want %q", c.way, c.parts, s, c.want)
		}
	}
}

func TestReplicatesTakeStoreys(t *testing.T) {
	for n, want := range map[int]int{0: 1, 2: 1, 3: 2, 6: 3} {
		f := planned(t, func(s *Source) { s.Replicates = n })
		if got := len(fieldRows(f.boxes(), A4.Width-2*margin)); got != want {
			t.Errorf("%d replicates: %d fieldRows, want %d", n, got, want)
		}
	}
}

// However many boxes there are, each is laid out once, no line is wider than
// the page, and every box leaves room to write.
func TestStoreysHoldEverything(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	for range 500 {
		width := 200 + 100*r.Float64()
		boxes := make([]Box, 1+r.IntN(60))
		for i := range boxes {
			boxes[i] = Box{Name: fmt.Sprint(i), Ideal: 10 + 30*r.Float64(), Grow: float64(r.IntN(3)), Measure: r.IntN(2) == 0}
		}
		seen := map[string]int{}
		for _, s := range fieldRows(boxes, width) {
			sum := 0.0
			for _, b := range s {
				seen[b.Name]++
				sum += b.Width
				if b.Width < b.Ideal*squeeze*0.99 {
					t.Fatalf("box of %.1f mm became %.1f mm", b.Ideal, b.Width)
				}
			}
			if sum > width+1e-6 || len(s) == 0 {
				t.Fatalf("a line of %d boxes is %.2f mm wide on %.2f mm", len(s), sum, width)
			}
		}
		for i := range boxes {
			if seen[fmt.Sprint(i)] != 1 {
				t.Fatalf("box %d was laid out %d times", i, seen[fmt.Sprint(i)])
			}
		}
	}
}

// What people write into names and words stays text in HTML and YAML.
func TestStrangeTextStaysText(t *testing.T) {
	strange := `<b>"A&B"</b> 'x' #: {no}`
	f := planned(t, func(s *Source) {
		s.Title, s.Name = strange, strange
		s.Choices["locality"] = []Word{{strange, strange}}
		s.Instruments = append(s.Instruments, Instrument{Name: "ñandú " + strange, Unit: "g"})
		s.Entries[0].Heading = strange
	})
	html := page(t, f, Letter)
	if strings.Contains(html, "<b>\"A") || !strings.Contains(html, "&lt;b&gt;") || !strings.Contains(html, "Ñandú") {
		t.Error("text became markup")
	}
	d := xml.NewDecoder(strings.NewReader(html))
	d.Strict, d.Entity = false, xml.HTMLEntity
	for {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	m, err := f.Mapping()
	if err != nil || !bytes.Contains(m, []byte("heading:")) {
		t.Fatal(err)
	}
	if _, err := f.Workbook().Bytes(); err != nil {
		t.Fatal(err)
	}
}

// The rows fill what the page leaves, at a height that a pencil needs.
func TestRowsFillThePage(t *testing.T) {
	for _, p := range []Paper{A4, Letter} {
		for n := range 10 {
			f := planned(t, func(s *Source) { s.Replicates = n })
			width, height := p.Width-2*margin, p.Height-2*margin-slack
			lines := fieldRows(f.boxes(), width)
			for _, first := range []bool{true, false} {
				s := f.sheet(first, lines, width, height)
				if s.Height < storeyRow || s.Height > 25 || len(s.Rows) < 2 {
					t.Errorf("%s, %d replicates, first %v: %d rows of %.1f mm", p.Name, n, first, len(s.Rows), s.Height)
				}
				for _, l := range append(s.Fields, s.FieldRows...) {
					sum := 0.0
					for _, b := range l {
						sum += b.Width
					}
					if sum > width+1e-6 || math.IsNaN(sum) {
						t.Errorf("a line is %.1f mm wide on %.1f mm", sum, width)
					}
				}
			}
		}
	}
}
