package screen

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// fewTexts makes captures whose readings have so few texts that many agree by
// chance, on few days, of few marks.
func fewTexts(n int, seed uint64) []*record.Capture {
	draw := rand.New(rand.NewPCG(seed, 9))
	var all []*record.Capture
	for i := range n {
		c := &record.Capture{ID: fmt.Sprint("id", i), Key: fmt.Sprint("k", i), File: fmt.Sprint("f", draw.IntN(3), ".csv"), Row: 2 + i}
		c.Set(record.Value{Field: record.Of("scientificName"), Text: []string{"", "Rana rara", "Bufo bufo"}[draw.IntN(3)]})
		c.Set(record.Value{Field: record.Of("eventDate"), Text: []string{"", "2021", "2021-05-03", "2021-05-04"}[draw.IntN(4)]})
		c.Set(record.Value{Field: record.Of("sex"), Text: []string{"", "Male", "female"}[draw.IntN(3)]})
		c.Set(record.Value{Field: record.Of("locality"), Text: []string{"", "Beaver Pond", "Tern Slough"}[draw.IntN(3)]})
		if draw.IntN(3) > 0 {
			c.Set(record.Value{Field: record.Of("organismID"), Text: fmt.Sprint("M", draw.IntN(n/4))})
		}
		animal := draw.IntN(max(1, n/50))
		for k, name := range []string{bodyLength, "tibiaLength", "headWidth", "eyeDiameter", "footLength"} {
			if draw.IntN(6) > 0 {
				addReading(c, name, fmt.Sprintf("%.1f", 40+float64((animal*37+k*13)%200)/10+float64(draw.IntN(8)/7)), "mm", 10)
			}
		}
		all = append(all, c)
	}
	return all
}

// pairsByHand finds duplicates the plain way: every capture against each earlier
// one of its taxon and day.
func pairsByHand(captures []*record.Capture, sum *Summary) [][2]int {
	f := sum.fitFor(Defaults())
	var pairs [][2]int
	for i, c := range captures {
		best, most := -1, 2
		for k, o := range captures[:i] {
			if o.Get("scientificName") != c.Get("scientificName") || o.Get("eventDate") != c.Get("eventDate") {
				continue
			}
			if sameReadings(f, o, c) > most {
				best, most = k, sameReadings(f, o, c)
			}
		}
		if best >= 0 {
			day := 0
			for _, o := range captures {
				if dayOf(o) == dayOf(c) && enoughRead(o) {
					day++
				}
			}
			if _, ok := f.sameCapture(captures[best], c, day); ok {
				pairs = append(pairs, [2]int{best, i})
			}
		}
	}
	return pairs
}

// enoughRead reports whether a capture has enough readings to be compared.
func enoughRead(c *record.Capture) bool {
	n := 0
	for i := range c.Readings {
		if r := &c.Readings[i]; !r.Derived && r.Usable() {
			n++
		}
	}
	return n >= minSame
}

func sameReadings(f *fitted, a, b *record.Capture) int {
	t := comparison{f: f, a: a, b: b}
	t.compareReadings()
	return t.same
}

// marksByHand follows each mark the plain way.
func marksByHand(captures []*record.Capture, sum *Summary, limits []Limit) []record.Finding {
	m := NewMarks("") // for what it learns
	for i, c := range captures {
		if err := m.Add(i, c); err != nil {
			panic(err)
		}
	}
	if _, err := m.Pairs(sum, limits, Defaults()); err != nil {
		panic(err)
	}
	byMark := map[[3]string][]*record.Capture{}
	for _, c := range captures {
		k := [3]string{c.Get("organismID")}
		if m.scope.byKind {
			k[1] = c.Kind()
		}
		if m.scope.byPlace {
			k[2] = c.Get("locality")
		}
		if k[0] != "" {
			byMark[k] = append(byMark[k], c)
		}
	}
	j := m.j
	j.pairs = 0
	for _, group := range byMark {
		j.pairs += len(group) - 1
	}
	var findings []record.Finding
	for mark, group := range byMark {
		slices.SortStableFunc(group, func(a, b *record.Capture) int { return strings.Compare(a.Get("eventDate"), b.Get("eventDate")) })
		for i := 1; i < len(group); i++ {
			findings = append(findings, j.follow(mark[0], group[i-1], group[i])...)
		}
	}
	record.SortFindings(findings)
	return findings
}

func TestPairsAreThoseFoundByHand(t *testing.T) {
	growth := 0.05
	limits := []Limit{{ScientificName: "Rana rara", Measurement: bodyLength, Unit: "mm/d", Maximum: &growth}}
	for seed := range uint64(need.Times(2, 6)) {
		captures := inOrder(fewTexts(400, seed))
		sum := Summarise(captures, Defaults())
		wantPairs, wantMarks := pairsByHand(captures, sum), marksByHand(captures, sum, limits)
		if len(wantPairs) < 10 || len(wantMarks) < 10 {
			t.Fatalf("only %d pairs and %d findings to compare", len(wantPairs), len(wantMarks))
		}
		for _, most := range []int{200, maxHeld} {
			pairs, found := pairsFound(t, captures, rand.New(rand.NewPCG(seed, 3)).Perm(len(captures)), most, sum, limits)
			if diff := cmp.Diff(wantPairs, pairs); diff != "" {
				t.Fatalf("seed %d, %d bytes held (-by hand +got):\n%s", seed, most, diff)
			}
			if diff := cmp.Diff(wantMarks, found); diff != "" {
				t.Fatalf("seed %d, %d bytes held (-by hand +got):\n%s", seed, most, diff)
			}
		}
	}
}

// pairsFound adds captures in some order, with so many bytes in memory at most,
// and returns the duplicates and what is found of marks.
func pairsFound(t *testing.T, captures []*record.Capture, order []int, most int, sum *Summary, limits []Limit) (pairs [][2]int, found []record.Finding) {
	t.Helper()
	folder := t.TempDir()
	duplicates, marks := NewDuplicates(folder), NewMarks(folder)
	duplicates.spill.most, marks.spill.most = most, most
	for _, i := range order {
		if err := errors.Join(duplicates.Add(i, captures[i]), marks.Add(i, captures[i])); err != nil {
			t.Fatal(err)
		}
	}
	alike, err := duplicates.Pairs(sum, Defaults())
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range alike {
		if _, ok := duplicates.Finding(captures[p[0]], captures[p[1]]); ok {
			pairs = append(pairs, p)
		}
	}
	followed, err := marks.Pairs(sum, limits, Defaults())
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range followed {
		found = append(found, marks.Follow(captures[p[0]], captures[p[1]])...)
	}
	record.SortFindings(found)
	if spilt := duplicates.spill.file != nil && marks.spill.file != nil; spilt != (most < maxHeld) {
		t.Errorf("with %d bytes held, written to files: %t", most, spilt)
	}
	if err := errors.Join(duplicates.Close(), marks.Close()); err != nil {
		t.Error(err)
	}
	if left, _ := os.ReadDir(folder); len(left) > 0 {
		t.Errorf("%d files are left", len(left))
	}
	return pairs, found
}

// A folder that is not there is an error, not a loss.
func TestSpillingNeedsAFolder(t *testing.T) {
	d := NewDuplicates(t.TempDir() + "/none")
	d.spill.most = 10
	if err := d.Add(0, fewTexts(20, 1)[0]); err == nil {
		t.Error("no error")
	}
}
