package screen

import (
	"encoding/gob"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// inParts judges a survey as it is judged where it cannot be held: part by
// part, with strings that are gone after each part.
func inParts(t testing.TB, captures []*record.Capture, size int, limits []Limit, s Settings) []record.Finding {
	return inPartsBy(t, captures, size, limits, s, byTurns)
}

func inPartsBy(t testing.TB, captures []*record.Capture, size int, limits []Limit, s Settings, judged judgingBy) []record.Finding {
	t.Helper()
	sum := NewSummary(s)
	folder := t.TempDir()
	duplicates, marks := NewDuplicates(folder), NewMarks(folder)
	defer duplicates.Close()
	defer marks.Close()
	duplicates.spill.most, marks.spill.most = 1000, 1000
	eachPart := func(do func(part []*record.Capture, from int, near Beside)) {
		for from := 0; from < len(captures); from += size {
			part := make([]*record.Capture, 0, size)
			for _, c := range captures[from:min(from+size, len(captures))] {
				part = append(part, copies([]*record.Capture{c})...)
			}
			end := from + len(part)
			do(part, from, Beside{copies(captures[max(0, from-Neighbours):from]), copies(captures[end:min(end+Neighbours, len(captures))])})
			for _, c := range part {
				spoil(c)
			}
		}
	}
	eachPart(func(part []*record.Capture, from int, near Beside) {
		for i, c := range part {
			sum.AddPart([]*record.Capture{c})
			if err := duplicates.Add(from+i, c); err != nil {
				t.Fatal(err)
			}
			if err := marks.Add(from+i, c); err != nil {
				t.Fatal(err)
			}
		}
	})
	x, all := judged(t, sum, limits, s, eachPart)
	all = append(all, x.End()...)
	pairs, err := duplicates.Pairs(sum, s)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range pairs {
		if f, ok := duplicates.Finding(captures[p[0]], captures[p[1]]); ok {
			all = append(all, f)
		}
	}
	if pairs, err = marks.Pairs(x.Summary(), limits, s); err != nil {
		t.Fatal(err)
	}
	for _, p := range pairs {
		all = append(all, marks.Follow(captures[p[0]], captures[p[1]])...)
	}
	record.SortFindings(all)
	return all
}

// judgingBy judges the parts of a survey.
type judgingBy func(t testing.TB, sum *Summary, limits []Limit, s Settings, eachPart func(func(part []*record.Capture, from int, near Beside))) (*Screening, []record.Finding)

// byTurns judges part after part.
func byTurns(t testing.TB, sum *Summary, limits []Limit, s Settings, eachPart func(func(part []*record.Capture, from int, near Beside))) (x *Screening, all []record.Finding) {
	x = NewScreening(sum, limits, s)
	judge := func(part []*record.Capture, _ int, near Beside) {
		found, _ := x.Part(part, near)
		for _, f := range found {
			all = append(all, owned(f))
		}
	}
	eachPart(judge)
	passes := 1
	for y := x.Again(); y != nil; y = x.Again() {
		x, all = y, nil
		eachPart(judge)
		passes++
	}
	if passes > 2+maxRounds {
		t.Errorf("%d passes", passes)
	}
	return x, all
}

// apart judges each part as a machine of its own would, which has of the others
// what they sent, in whatever order it came.
func apart(t testing.TB, _ *Summary, limits []Limit, s Settings, eachPart func(func(part []*record.Capture, from int, near Beside))) (*Screening, []record.Finding) {
	t.Helper()
	var sums []*Summary
	eachPart(func(part []*record.Capture, _ int, near Beside) {
		own := NewSummary(s)
		own.AddPart(part)
		sums = append(sums, sent(t, own, new(Summary)))
	})
	sum := sums[len(sums)-1].Under(s)
	for _, o := range slices.Backward(sums[:len(sums)-1]) {
		sum.Merge(o)
	}
	clean, found := map[int]bool{}, map[int][]record.Finding{}
	departures := map[int]*Contribution{}
	judge := func(x *Screening, part []*record.Capture, from int, near Beside) {
		found[from] = nil
		told, _ := x.Part(part, near)
		for _, f := range told {
			found[from] = append(found[from], owned(f))
		}
		departures[from] = sent(t, x.Contribution(near), new(Contribution))
	}
	var causes *Causes
	eachPart(func(part []*record.Capture, from int, near Beside) {
		x := NewScreening(sum, limits, s)
		judge(x, part, from, near)
		clean[from] = !x.Superseded()
		more := sent(t, x.Causes(), new(Causes))
		if causes != nil {
			more.Join(causes)
		}
		causes = more
	})
	for range Rounds {
		var told []*Causes
		eachPart(func(part []*record.Capture, from int, near Beside) {
			if more := Relearn(sum, limits, s, causes, part, near, clean[from]); more != nil {
				told = append(told, sent(t, more, new(Causes)))
			}
		})
		for _, more := range slices.Backward(told) {
			causes.Join(more)
		}
	}
	eachPart(func(part []*record.Capture, from int, near Beside) {
		if x := Finally(sum, limits, s, causes); x.Rejudges() {
			judge(x, part, from, near)
		}
	})
	x, all := Finally(sum, limits, s, causes), []record.Finding(nil)
	var joined *Contribution
	for _, from := range slices.Sorted(maps.Keys(departures)) {
		all = append(all, found[from]...)
		if joined != nil {
			departures[from].Join(joined) // the earlier ones last
		}
		joined = sent(t, departures[from], new(Contribution))
	}
	x.Take(joined)
	return x, all
}

// sent sends something to another machine.
func sent[T gob.GobDecoder](t testing.TB, from gob.GobEncoder, to T) T {
	t.Helper()
	b, err := from.GobEncode()
	if err == nil {
		err = to.GobDecode(b)
	}
	if err != nil {
		t.Fatal(err)
	}
	return to
}

// spoil makes nonsense of a capture, so that whoever kept it shows.
func spoil(c *record.Capture) {
	c.ID, c.Key, c.File, c.Row, c.Session = "spoilt", "spoilt", "spoilt", 0, "spoilt"
	for i := range c.Values {
		c.Values[i] = record.Value{Field: record.Of(c.Values[i].Term), Text: "spoilt"}
	}
	for i := range c.Readings {
		c.Readings[i] = record.Reading{Text: "spoilt", Number: 7}
	}
	c.Weighing = nil
}

func owned(f record.Finding) record.Finding {
	f.Also, f.Figures = slices.Clone(f.Also), slices.Clone(f.Figures)
	return f
}

// A survey in parts has the findings of the whole, but for causes of many that
// cross parts: none is planted so.
func TestPartsAreJudgedAsTheWhole(t *testing.T) {
	for _, c := range []struct {
		name string
		do   func(all []*record.Capture) []*record.Capture
		size int
	}{
		{"bags left in over parts", leaveBagsIn, 40},
		{"bags left in and a slip of many", func(all []*record.Capture) []*record.Capture {
			scaleAll(onDay(all, "day 13"), "tibiaLength", 10, 2)
			return leaveBagsIn(all)
		}, 14 * 6},
		{"single slips", func(all []*record.Capture) []*record.Capture { return all }, 50},
		{"parts of one row", func(all []*record.Capture) []*record.Capture { return all }, 1},
		{"one part", func(all []*record.Capture) []*record.Capture { return messyOf(all) }, 5000},
		{"a day within a part", func(all []*record.Capture) []*record.Capture {
			scaleAll(onDay(all, "day 7"), "tibiaLength", 10, 2)
			return all
		}, 14 * 6},
		{"habits over many parts", func(all []*record.Capture) []*record.Capture {
			everyReading(all, "C. Sedge", "headWidth", func(v float64) float64 { return v * 1.06 })
			for _, c := range all[96:104] { // over the end of a part
				for i := range c.Readings {
					if c.Readings[i].Measurement == "footLength" {
						rewrite(c, i, "36.1")
					}
				}
			}
			return all
		}, 100},
		{"copies and marks in other parts", func(all []*record.Capture) []*record.Capture {
			for i, c := range all {
				if i%4 == 0 {
					c.Set(record.Value{Field: record.Of("organismID"), Text: fmt.Sprint("M", i%60)})
				}
			}
			return append(all, copyOf(all[40], 800), copyOf(all[90], 801))
		}, 64},
	} {
		t.Run(c.name, func(t *testing.T) {
			all := simulate(320, 5)
			plant(all, 3, 6)
			all = c.do(all)
			want := Screen(all, nil, Defaults())
			if len(want) < 15 {
				t.Fatalf("only %d findings to compare", len(want))
			}
			if told := slices.ContainsFunc(want, func(f record.Finding) bool { return f.Rule == "bags-left-in" }); told != strings.HasPrefix(c.name, "bags left in") {
				t.Errorf("bags left in are told: %v", told)
			}
			if diff := cmp.Diff(want, inParts(t, all, c.size, nil, Defaults())); diff != "" {
				t.Errorf("parts of %d (-whole +parts):\n%s", c.size, diff)
			}
			if c.size < 64 && need.Times(0, 1) == 0 {
				return // many parts go between machines slowly
			}
			if diff := cmp.Diff(want, inPartsBy(t, all, c.size, nil, Defaults(), apart)); diff != "" {
				t.Errorf("parts of %d on several machines (-whole +apart):\n%s", c.size, diff)
			}
		})
	}
}

// leaveBagsIn makes one session of five, on which the scale was set to zero with
// the bag on, but not for every third animal.
func leaveBagsIn(all []*record.Capture) []*record.Capture {
	for i, c := range all[56:126] {
		c.Session = "day 4"
		w := c.Weighing
		if w == nil || w.Net == nil || w.Gross == nil {
			continue
		}
		text := w.Net.Text
		if i%3 == 0 {
			text = w.Gross.Text
		}
		writeNet(c, text)
	}
	return all
}

func messyOf(all []*record.Capture) []*record.Capture {
	shiftUp(all, "femurLength", 200, 225)
	return append(all, copyOf(all[40], 800))
}

// Wherever the end of a part cuts a day, a row shift, a run of cells or what an observer
// read, each of them is one finding, the same to the last letter.
func TestCutsHideNoCauseOfMany(t *testing.T) {
	all := simulate(240, 5)
	scaleAll(onDay(all, "day 7"), "tibiaLength", 10, 2) // the rows 100 to 113
	shiftUp(all, "femurLength", 150, 172)
	everyReading(all, "C. Sedge", "headWidth", func(v float64) float64 { return v / 10 })
	for _, c := range all[44:56] { // one column copied into another
		if from := c.Reading("tibiaLength"); from != nil {
			for i := range c.Readings {
				if c.Readings[i].Measurement == "eyeDiameter" {
					rewrite(c, i, from.Text)
				}
			}
		}
	}
	want := Screen(all, nil, Defaults())
	many := slices.Concat(of(want, "column-slip"), of(want, "rows-shifted"))
	for _, f := range want {
		if strings.Contains(f.Reason, "one cause. ") {
			many = append(many, f)
		}
	}
	if len(many) < 4 {
		t.Fatalf("only %d causes of many are told", len(many))
	}
	sizes := []int{64, 101, 171}
	for size := 95; size < need.Times(0, 176); size++ {
		sizes = append(sizes, size)
	}
	for _, size := range append(sizes, 50, 240) {
		if diff := cmp.Diff(want, inParts(t, all, size, nil, Defaults())); diff != "" {
			t.Errorf("parts of %d (-whole +parts):\n%s", size, diff)
		}
	}
	if diff := cmp.Diff(want, inPartsBy(t, all, 64, nil, Defaults(), apart)); diff != "" {
		t.Errorf("on several machines (-whole +apart):\n%s", diff)
	}
}

// What a part holds in any order is judged the same.
func TestOrderWithinAPartDoesNotMatter(t *testing.T) {
	all := messy()
	want := inParts(t, all, 80, nil, Defaults())
	draw := rand.New(rand.NewPCG(3, 1))
	shuffled := slices.Clone(all)
	for part := range slices.Chunk(shuffled, 80) {
		draw.Shuffle(len(part), func(i, j int) { part[i], part[j] = part[j], part[i] })
	}
	if diff := cmp.Diff(want, inParts(t, shuffled, 80, nil, Defaults())); diff != "" {
		t.Errorf("(-in order +shuffled):\n%s", diff)
	}
}

// The order of parts does not matter for the summary.
func TestOrderOfPartsDoesNotMatterForTheSummary(t *testing.T) {
	captures := simulate(400, 8)
	plant(captures, 2, 9)
	s := Defaults()
	s.MaxRows = 40
	whole := Summarise(captures, s)
	backwards := slices.Collect(slices.Chunk(captures, 37))
	slices.Reverse(backwards)
	sum := Summarise(slices.Concat(backwards...), s)
	for _, c := range captures {
		if diff := cmp.Diff(Judge(c, whole, nil, s), Judge(c, sum, nil, s)); diff != "" {
			t.Fatalf("%s (-forwards +backwards):\n%s", c.Key, diff)
		}
	}
}

// Animals without a scientific name are of the kind that their other names tell.
func TestKindsByOtherNames(t *testing.T) {
	c := &record.Capture{Values: []record.Value{{Field: record.Of("genus"), Text: "Rana"}, {Field: record.Of("specificEpithet"), Text: "temporaria"}}}
	if got := rowOf(c).taxon; got != "Rana temporaria" {
		t.Errorf("got %q", got)
	}
	c.Set(record.Value{Field: record.Of("vernacularName"), Text: "common frog"})
	if got := rowOf(c).taxon; got != "common frog" {
		t.Errorf("got %q", got)
	}
	c.Set(record.Value{Field: record.Of("scientificName"), Verbatim: "RATE"})
	if got := rowOf(c).taxon; got != "RATE" {
		t.Errorf("got %q", got)
	}
}

// Marks that several machines follow, each some of them, come to what one finds.
func TestMarksAreFollowedApart(t *testing.T) {
	all := simulate(600, 9)
	for i, c := range all {
		c.Set(record.Value{Field: record.Of("organismID"), Text: fmt.Sprint("M", i%90)})
		c.Set(record.Value{Field: record.Of("eventDate"), Text: fmt.Sprintf("20%02d-05-01", 10+i/90)})
	}
	s := Defaults()
	sum, one := NewSummary(s), NewMarks("")
	sum.AddPart(all)
	const bits = 2
	machines := map[int]*Marks{}
	for from := 0; from < len(all); from += 150 {
		part := NewMarks("")
		part.NumberSheets([][2]string{{all[0].File, all[0].Sheet}})
		for i, c := range all[from:min(from+150, len(all))] {
			if err := one.Add(from+i, c); err != nil {
				t.Fatal(err)
			}
			if err := part.Add(from+i, c); err != nil {
				t.Fatal(err)
			}
		}
		for at, block := range part.Packed(bits) {
			if machines[at] == nil {
				machines[at] = NewMarks("")
				machines[at].NumberSheets([][2]string{{all[0].File, all[0].Sheet}})
			}
			if err := machines[at].AddPacked(block); err != nil {
				t.Fatal(err)
			}
		}
	}
	var counts, signs [][]byte
	for at := range 1 << bits {
		block, err := machines[at].Count()
		if err != nil {
			t.Fatal(err)
		}
		counts = append(counts, block)
	}
	for at := range 1 << bits {
		if err := machines[at].Within(counts); err != nil {
			t.Fatal(err)
		}
		block, err := machines[at].Signs()
		if err != nil {
			t.Fatal(err)
		}
		signs = append(signs, block)
	}
	var pairs [][2]int
	n := 0
	for at := range 1 << bits {
		some, of, err := machines[at].Suspects(signs, sum, nil, s)
		if err != nil {
			t.Fatal(err)
		}
		pairs, n = append(pairs, some...), n+of
	}
	many, err := FoundMarks(counts, signs, pairs, n)
	if err != nil {
		t.Fatal(err)
	}
	told := func(m *Marks) (out []record.Finding) {
		pairs, err := m.Pairs(sum, nil, s)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range pairs {
			out = append(out, m.Follow(all[p[0]], all[p[1]])...)
		}
		if ordinal, f, some := m.Scope(); some {
			f.Figures = append(f.Figures, record.Figure{Value: float64(ordinal)})
			out = append(out, f)
		}
		return out
	}
	want := told(one)
	if len(want) < 20 {
		t.Fatalf("only %d findings to compare", len(want))
	}
	if diff := cmp.Diff(want, told(many)); diff != "" {
		t.Errorf("(-one +many):\n%s", diff)
	}
}
