package infer

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

func TestCondition(t *testing.T) {
	cs := frogs(12, 60, kinds[0])
	set := func(c *record.Capture, term, text string) { c.Set(record.Value{Field: record.Of(term), Text: text}) }
	set(cs[1], "reproductiveCondition", "gravid")
	cs[2].Readings[0].State = record.Doubtful
	set(cs[4], "vitality", "dead")
	rename(cs[6], "Lithobates cf. clamitans")
	scale(cs[8], "bodyMass", 10)
	cs[10].Readings = cs[10].Readings[:2] // no mass
	flagged := map[string]bool{cs[8].ID: true}
	r := Infer(cs, flagged, Inputs{}, Defaults())
	if len(r.Groups) != 2 {
		t.Fatalf("%d groups", len(r.Groups))
	}
	got := map[string][]record.Reading{}
	for _, d := range r.Derived {
		got[d.Capture] = append(got[d.Capture], d.Reading)
	}
	for _, i := range []int{1, 2, 4, 6, 8, 10} {
		if got[cs[i].ID] != nil {
			t.Errorf("capture %d got an index", i)
		}
	}
	if len(got) != 54 {
		t.Errorf("%d captures got an index", len(got))
	}
	checkAgainstAxis(t, cs, got)
	a := r.Groups[0].Axis
	if want := fmt.Sprintf(": b = %.3f ± %.3f, L0 = %.2f mm; slope %.3f, intercept %.3f, residual SD %.3f; n = 54", a.Slope.Value, a.SlopeSE, a.Centre, a.Rise, a.Intercept, a.Scale); !strings.HasSuffix(r.Groups[0].line, want) {
		t.Errorf("the line is told as %q, want %q", r.Groups[0].line, want)
	}
	notes := byRule(r.Findings)["condition-declined"]
	if len(notes) != 1 || notes[0].Level != record.Note || !strings.Contains(notes[0].Reason, "flagged by screening (1)") ||
		!strings.Contains(notes[0].Reason, "gravid: eggs add to the mass (1)") {
		t.Errorf("findings: %+v", notes)
	}
}

// checkAgainstAxis computes the index anew from what was published: both sexes
// share line and standard length.
func checkAgainstAxis(t *testing.T, cs []*record.Capture, got map[string][]record.Reading) {
	t.Helper()
	var length, mass []float64
	for _, c := range cs {
		if got[c.ID] != nil {
			length, mass = append(length, c.Reading("snoutVentLength").Number), append(mass, c.Reading("bodyMass").Number)
		}
	}
	axis, err := statistics.FitBodyAxis(length, mass, .95)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range cs {
		rs := got[c.ID]
		if rs == nil {
			continue
		}
		l, m := c.Reading("snoutVentLength").Number, c.Reading("bodyMass").Number
		if len(rs) != 2 || rs[0].Measurement != ScaledMassIndex || rs[1].Measurement != ConditionResidual ||
			math.Abs(rs[0].Number-axis.ScaledMass(l, m)) > .0501 || math.Abs(rs[1].Number-axis.Residual(l, m)) > .000501 {
			t.Fatalf("capture %s: %+v", c.Key, rs)
		}
		for _, r := range rs {
			if !r.Derived || r.Remark() != "" || r.Unit == "" || r.Accuracy != 0 || r.Verbatim != "" {
				t.Errorf("reading: %+v", r)
			}
		}
	}
}

func TestConditionDeclines(t *testing.T) {
	s := Defaults()
	for name, c := range map[string]struct {
		change func(cs []*record.Capture)
		want   string
	}{
		"few of the species": {func(cs []*record.Capture) {
			for _, c := range cs[19:] {
				c.Readings = c.Readings[:1]
			}
		}, "undoubted captures of the species: 19, want 20"},
		"mass does not follow": {func(cs []*record.Capture) {
			for i, c := range cs {
				c.Readings[len(c.Readings)-1].Number = 30 + float64(i*7%11)
			}
		}, "hardly correlates"},
		"one length": {func(cs []*record.Capture) {
			for _, c := range cs {
				c.Readings[0].Number = 60
			}
		}, "one length"},
		"units differ": {func(cs []*record.Capture) {
			for _, c := range cs[40:] {
				c.Readings[len(c.Readings)-1].Vary(func(s *record.Series) { s.Unit = "kg" })
			}
		}, "units differ"},
	} {
		cs := frogs(13, 60, kinds[0])
		c.change(cs)
		r := Infer(cs, nil, Inputs{}, s)
		var all string
		for _, f := range byRule(r.Findings)["condition-declined"] {
			all += f.Reason + "\n"
		}
		if !strings.Contains(all, c.want) {
			t.Errorf("%s: %q", name, all)
		}
	}
}

// Of a group that has few of the animals behind the line of the species, that is
// said.
func TestConditionOfFew(t *testing.T) {
	cs := frogs(13, 60, kinds[0])
	for _, c := range cs[30:] {
		c.Set(record.Value{Field: record.Of("sex"), Text: ""})
	}
	r := Infer(cs, nil, Inputs{}, Defaults())
	said := 0
	for _, d := range r.Derived {
		if strings.Contains(d.Reading.Remark(), "only 15 of the 60 animals behind the species' line are Lithobates clamitans, adult, male") {
			said++
		}
	}
	if len(r.Derived) != 120 || said != 30 {
		t.Errorf("%d derived readings, %d of them by the line of others", len(r.Derived), said)
	}
	for _, f := range byRule(r.Findings)["condition-declined"] {
		t.Errorf("%+v", f)
	}
}

// The net of a weighing serves where no body mass was written.
func TestMassFromWeighing(t *testing.T) {
	cs := frogs(14, 60, kinds[0])
	for _, c := range cs {
		last := len(c.Readings) - 1
		net := c.Readings[last]
		c.Weighing, c.Readings = &record.Weighing{Way: record.SameRow, Net: &net}, c.Readings[:last]
	}
	if r := Infer(cs, nil, Inputs{}, Defaults()); len(r.Derived) != 120 {
		t.Errorf("%d derived readings", len(r.Derived))
	}
}
