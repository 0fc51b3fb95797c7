package screen

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

// Observers are compared by a bounded choice of sessions that says the same.
func TestObserversAreComparedByAChoiceOfSessions(t *testing.T) {
	const per, sessions = 10, 900
	draw := rand.New(rand.NewPCG(6, 1))
	b := newHabits().Bias
	m := &model{names: []string{bodyLength, "headWidth"}}
	fill := func() {
		j := &search{}
		for day := range sessions {
			for i := range per {
				c := &record.Capture{ID: fmt.Sprint(day, "-", i), File: "a.csv", Row: len(j.rows) + 2, Session: fmt.Sprint("day ", day)}
				who := []string{"A. Quill", "B. Rook", "C. Sedge"}[day%3]
				c.Set(record.Value{Field: record.Of("recordedBy"), Text: who})
				addReading(c, bodyLength, "50.0", "mm", 3)
				off := 0.03 * draw.NormFloat64()
				if who == "C. Sedge" {
					off += 0.06
				}
				addReading(c, "headWidth", fmt.Sprintf("%.3f", 17*math.Exp(off)), "mm", 4)
				r := rowOf(c)
				v := &view{model: m, row: r, cells: []*cell{&r.cells[0], &r.cells[1]}, gained: make([]float64, 2), inverse: []float64{1, 0, 0, 1}}
				v.gained[0] = off
				j.rows, j.sights = append(j.rows, r), append(j.sights, sight{view: v})
			}
		}
		b.add(j)
	}
	for range 4 {
		fill()
	}
	if b.choose(maxDeparted); b.Captures > maxDeparted || b.Captures < maxDeparted/4 {
		t.Errorf("%d captures are kept", b.Captures)
	}
	for name, o := range b.Observers {
		if o.Took[0].N != 4*sessions*per/3 || len(o.Sessions) < 100 {
			t.Errorf("%s: %d readings, %d sessions kept", name, o.Took[0].N, len(o.Sessions))
		}
	}
	fs := of(b.observerBias(Defaults()), "observer-differs")
	fs = slices.DeleteFunc(fs, func(f record.Finding) bool { return f.Field != "headWidth" })
	if len(fs) == 0 || fs[0].Figures[0].Value != 4*sessions*per/3 {
		t.Fatalf("got %+v", fs)
	}
	if !slices.ContainsFunc(fs, func(f record.Finding) bool {
		effect := f.Figures[1].Value
		return math.Abs(effect-0.06) < 0.005
	}) {
		t.Errorf("no effect of 6 %%: %+v", fs)
	}
}

// A column of more texts than are counted tells nearly the same chance of
// agreement, and long runs stand out.
func TestLongColumns(t *testing.T) {
	draw := rand.New(rand.NewPCG(6, 2))
	cols := newHabits().Columns
	counts := map[string]int{}
	const n = 150000
	for i := range n {
		c := &record.Capture{Key: fmt.Sprint(i), File: "a.csv", Row: i + 2}
		text := fmt.Sprintf("%.3f", 20+80*draw.Float64())
		if i >= 70000 && i < 70005 {
			text = "55.555"
		}
		addReading(c, "headWidth", text, "mm", 4)
		counts[text]++
		cols.add(c)
		if i%8192 == 0 {
			cols.endPart()
		}
	}
	col := cols.Open[tableKey{File: "a.csv"}].Columns[0]
	if len(counts) <= maxTexts || len(col.Texts) > maxTexts {
		t.Fatalf("%d texts, %d counted", len(counts), len(col.Texts))
	}
	exact := 0.0
	for _, k := range counts {
		exact += float64(k) * float64(k-1) / (float64(n) * float64(n-1))
	}
	if got := col.agreement(); math.Abs(got/exact-1) > 0.03 {
		t.Errorf("agreement %g, exactly %g", got, exact)
	}
	fs := cols.repeatedValues(Defaults())
	if len(fs) != 1 || fs[0].At.Row != 70002 || len(fs[0].Also) != 4 {
		t.Errorf("got %+v", fs)
	}
}

// The run of masses at the end of a scale is that of the largest mass, whenever
// it comes.
func TestScalesRise(t *testing.T) {
	s := newHabits().Scales
	for i, text := range []string{"48.0", "50.0", "50.0", "50.0", "50.0", "59.0", "60.0", "60.0", "60.0", "12.0", "53.9", "60.0"} {
		c := &record.Capture{Key: fmt.Sprint(i), File: "a.csv", Row: i + 2}
		addReading(c, bodyMass, text, "g", 4)
		s.add(c)
	}
	fs := s.ends()
	if len(fs) != 1 || fs[0].At.Row != 8 || len(fs[0].Also) != 3 || fs[0].Figures[2].Value != 4 || fs[0].Figures[3].Value != 3 {
		t.Errorf("got %+v", fs)
	}
}
