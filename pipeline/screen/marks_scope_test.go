package screen

import (
	"fmt"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// followed returns the findings of all pairs that Marks names.
func followed(t *testing.T, captures []*record.Capture) ([]record.Finding, *Marks) {
	t.Helper()
	m := NewMarks("")
	for i, c := range captures {
		if err := m.Add(i, c); err != nil {
			t.Fatal(err)
		}
	}
	pairs, err := m.Pairs(Summarise(captures, Defaults()), nil, Defaults())
	if err != nil {
		t.Fatal(err)
	}
	var fs []record.Finding
	for _, p := range pairs {
		fs = append(fs, m.Follow(captures[p[0]], captures[p[1]])...)
	}
	return fs, m
}

// bearing makes a capture of a frog with a mark.
func bearing(row int, mark, date, sex, name, place, svl string) *record.Capture {
	c := marked(row, date, sex, name, place, svl)
	c.Value("organismID").Text = mark
	return c
}

// Marks that begin anew with each kind, or at each place, are one matter; a scope
// that is stated is none.
func TestMarksBeginAnew(t *testing.T) {
	make := func(by, scope string) (all []*record.Capture) {
		for i := range 40 {
			for k, name := range []string{"Lithobates pipiens", "Anaxyrus americanus"} {
				place, sex := "Tern Slough", "female"
				if by == "place" {
					place, sex = []string{"Tern Slough", "Mill Pond"}[k], []string{"female", "male"}[k]
					name = "Lithobates pipiens"
				}
				c := bearing(2+2*i+k, fmt.Sprint(i), fmt.Sprintf("2021-05-%02d", 1+10*k+i%9), sex, name, place, "70.0")
				if scope != "" {
					c.Scope = c.Get(scope)
				}
				all = append(all, c)
			}
		}
		return all
	}
	for _, c := range []struct {
		by, scope string
		want      bool
	}{{"kind", "", true}, {"place", "", true}, {"kind", "scientificName", false}, {"place", "locality", false}} {
		fs, m := followed(t, make(c.by, c.scope))
		_, f, some := m.Scope()
		if some != c.want || len(fs) > 0 {
			t.Errorf("%s within %q: %v %q, and %d findings on single marks", c.by, c.scope, some, f.Reason, len(fs))
		}
	}
}

// Marks that were handed out again on a later day are one finding; among as many that
// are well read, one that contradicts is told by itself.
func TestMarksHandedOutAgain(t *testing.T) {
	const pipiens, toad = "Lithobates pipiens", "Anaxyrus americanus"
	var all []*record.Capture
	add := func(mark int, date, name string) {
		all = append(all, bearing(len(all)+2, fmt.Sprint("T", mark), date, "female", name, "Tern Slough", "70.0"))
	}
	for i := range 120 {
		add(i, "2012-09-07", pipiens)
		name := pipiens
		switch {
		case i < 12 && i%3 > 0, i == 40:
			name = toad
		}
		date := "2017-09-05"
		if i >= 12 {
			date = "2013-09-06"
		}
		add(i, date, name)
	}
	_, m := followed(t, all)
	pairs, err := m.Pairs(Summarise(all, Defaults()), nil, Defaults())
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range pairs {
		m.Doubt(all[p[0]], all[p[1]])
	}
	var told []string
	for _, p := range pairs {
		for _, f := range m.Follow(all[p[0]], all[p[1]]) {
			told = append(told, fmt.Sprint(f.Rule, " ", 1+len(f.Also), " ", f.Capture, " ", f.At.Row))
			if f.Rule == "marks-begin-anew" && !strings.Contains(f.Reason, "of 12 marks read on 2012-09-07 and next on 2017-09-05, 8 are hardly") {
				t.Error(f.Reason)
			}
		}
	}
	if len(told) != 2 || !strings.HasPrefix(told[0], "marks-begin-anew 8 ") || !strings.HasPrefix(told[1], "recapture-species ") {
		t.Errorf("%q", told)
	}
}

// A mark that was misread by one digit is sought among those of the place, and
// suggested where few others would fit as well.
func TestMisreadMark(t *testing.T) {
	const pipiens, toad = "Lithobates pipiens", "Anaxyrus americanus"
	for _, c := range []struct {
		more       []string // marks of toads of the same place
		suggestion string
	}{
		{nil, "T011"},
		{[]string{"T021", "T022", "T023", "T024", "T025", "T026", "T028", "T029"}, ""}, // marks run on: one of them nearly always fits
		{[]string{"T019"}, ""},
	} {
		all := []*record.Capture{
			bearing(2, "T017", "2021-05-03", "female", pipiens, "Tern Slough", "70.0"),
			bearing(3, "T011", "2021-05-04", "male", toad, "Tern Slough", "61.0"),
			bearing(4, "T018", "2021-05-04", "male", toad, "Mill Pond", "61.0"),
			bearing(5, "T017", "2021-06-03", "male", toad, "Tern Slough", "61.5"),
		}
		for i, mark := range c.more {
			all = append(all, bearing(6+i, mark, "2021-05-04", "male", toad, "Tern Slough", "61.2"))
		}
		fs, _ := followed(t, all)
		if len(fs) != 1 || fs[0].Rule != "mark-reused" || fs[0].Suggestion != c.suggestion || !strings.Contains(fs[0].Reason, "T011") {
			t.Errorf("with %v: got %+v", c.more, fs)
		}
	}
}

// Growth is judged by the curve that the survey's own recaptures tell.
func TestGrowthByOwnCurve(t *testing.T) {
	var all []*record.Capture
	for i := range 40 {
		first := 30 + float64(i)
		all = append(all, bearing(2+2*i, fmt.Sprint(i), "2021-05-03", "", "Lithobates pipiens", "Tern Slough", fmt.Sprintf("%.1f", first)),
			bearing(3+2*i, fmt.Sprint(i), "2022-05-03", "", "Lithobates pipiens", "Tern Slough", fmt.Sprintf("%.1f", first+(75-first)*0.5)))
	}
	fast := append(all, bearing(100, "x", "2021-05-03", "", "Lithobates pipiens", "Tern Slough", "40.0"),
		bearing(101, "x", "2021-07-03", "", "Lithobates pipiens", "Tern Slough", "60.0"))
	fs, m := followed(t, fast)
	if len(m.j.growths.curves) != 1 {
		t.Fatalf("%d curves", len(m.j.growths.curves))
	}
	if len(fs) != 1 || fs[0].Rule != "recapture-grown" || fs[0].Level != record.Warning {
		t.Errorf("got %+v", fs)
	}
}
